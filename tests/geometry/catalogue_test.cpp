// Every entry of the catalogue: its table is sound, it draws, and each parameter at each of
// its bounds either draws rings without a hole or is refused in the words of the case file.
#include "geometry/catalogue.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "geometry/section.h"
#include "machine_helper.h"

namespace polepitch {
namespace {

using namespace testing;

std::string bound_text(const Parameter& p, double value) {
  std::string text = p.form == Form::integer ? std::to_string(static_cast<int>(value)) : fmt::format("{}", value);
  if (p.kind != Kind::number) text += " " + p.unit;
  return text;
}

// Sets each parameter to each bound in turn, the others stay.
void sweep_bounds(MachineTexts texts, Texts& table, const std::vector<Parameter>& parameters, const std::string& path) {
  for (const Parameter& p : parameters) {
    if (p.form != Form::quantity && p.form != Form::integer) continue;
    for (double value : {p.lower, p.upper}) {
      const auto before = table;
      table[p.name] = bound_text(p, value);
      MachineTexts now = texts;
      (path == "stator"       ? now.stator
       : path == "rotor"      ? now.rotor
       : path == "rotor.slot" ? now.rotor_slot
                              : now.slot) = table;
      const Outcome outcome = try_to_draw(now);
      const std::string what = fmt::format("{}.{} = {}\n{}", path, p.name, table[p.name], outcome.text);
      if (!outcome.drawn) {
        EXPECT_EQ(outcome.code, ExitCode::input) << what;
        EXPECT_TRUE(outcome.text.find("rotor.") != std::string::npos ||
                    outcome.text.find("stator.") != std::string::npos ||
                    outcome.text.find("winding") != std::string::npos)
            << what;
      }
      table = before;
    }
  }
}

TEST(Catalogue, TablesAreSound) {
  for (const auto* list : {&slot_catalogue(), &stator_catalogue(), &rotor_catalogue()})
    for (const CatalogueEntry& entry : *list) {
      EXPECT_EQ(entry.sentence.back(), '.') << entry.name;
      for (const Parameter& p : entry.parameters) {
        EXPECT_EQ(p.sentence.back(), '.') << entry.name << " " << p.name;
        EXPECT_FALSE(p.optional && !p.fallback.empty()) << entry.name << " " << p.name;
        EXPECT_TRUE(p.kind == Kind::number || !p.unit.empty()) << entry.name << " " << p.name;
        if (p.form != Form::quantity && p.form != Form::integer) continue;
        EXPECT_LT(p.lower, p.upper) << entry.name << " " << p.name;
        EXPECT_TRUE(std::isfinite(p.lower) && std::isfinite(p.upper)) << entry.name << " " << p.name;
      }
    }
}

TEST(Catalogue, EverySlotShapeInStatorAndRotor) {
  for (const CatalogueEntry& entry : slot_catalogue()) {
    if (entry.is_drawn) continue;  // needs a file: tests/cases/drawn_side_test.cpp
    MachineTexts texts = cage_texts();
    texts.stator["slots"] = "36";
    texts.slot_type = texts.rotor_slot_type = entry.name;
    texts.slot = slot_texts(entry.name, false);
    texts.rotor_slot = slot_texts(entry.name, true);
    const Outcome outcome = try_to_draw(texts);
    EXPECT_TRUE(outcome.drawn) << entry.name << "\n" << outcome.text;
    sweep_bounds(texts, texts.slot, entry.parameters, "stator.slot");
    sweep_bounds(texts, texts.rotor_slot, entry.parameters, "rotor.slot");
  }
}

TEST(Catalogue, EverySlotShapeOnTheOutsideOfAStator) {
  for (const CatalogueEntry& entry : slot_catalogue()) {
    if (entry.is_drawn) continue;
    MachineTexts texts = outer_magnet_texts();
    texts.slot_type = entry.name;
    texts.slot = slot_texts(entry.name, false);
    const Outcome outcome = try_to_draw(texts);
    EXPECT_TRUE(outcome.drawn) << entry.name << "\n" << outcome.text;
    sweep_bounds(texts, texts.slot, entry.parameters, "stator.slot");
  }
}

TEST(Catalogue, EveryRotorAtItsBounds) {
  for (MachineTexts texts : all_rotor_texts())
    sweep_bounds(texts, texts.rotor, table_of(rotor_catalogue(), texts.rotor_type), "rotor");
}

TEST(Catalogue, EveryRotorDraws) {
  std::vector<std::string> types;
  for (const MachineTexts& texts : all_rotor_texts()) {
    const Outcome outcome = try_to_draw(texts);
    EXPECT_TRUE(outcome.drawn) << texts.rotor_type << "\n" << outcome.text;
    types.push_back(texts.rotor_type);
  }
  for (const CatalogueEntry& entry : rotor_catalogue())
    EXPECT_TRUE(entry.is_drawn || std::find(types.begin(), types.end(), entry.name) != types.end()) << entry.name;
}

TEST(Catalogue, EveryStatorAtItsBounds) {
  for (MachineTexts texts : {cage_texts(), layers_texts(), outer_magnet_texts(), outer_slotless_texts()})
    sweep_bounds(texts, texts.stator, table_of(stator_catalogue(), texts.stator_type), "stator");
}

TEST(Catalogue, RectangularCoilSidesInTwoLayers) {
  MachineTexts texts = salient_texts();
  texts.slot_type = "rectangular-open";
  texts.slot = {{"width", "5 mm"},
                {"height", "20 mm"},
                {"wedge_height", "2 mm"},
                {"coil_side_width", "3.5 mm"},
                {"coil_side_height", "8 mm"}};
  const Section s = draw_section(make_machine(texts));
  int sides = 0;
  double insulation = 0;
  for (const Region& region : s.regions) {
    if (region.role == Role::insulation && region.side == Side::stator) insulation += region.area;
    if (region.role != Role::winding) continue;
    ++sides;
    EXPECT_NEAR(region.area, 28e-6, 1e-15);
  }
  EXPECT_EQ(sides, 12);
  EXPECT_NEAR(insulation, 6 * (100e-6 - 2 * 28e-6), 1e-14);
}

TEST(Catalogue, ClosedSlotsKeepTheirBridge) {
  MachineTexts texts = cage_texts();
  texts.rotor_slot_type = "closed-trapezoidal";
  texts.rotor_slot = {{"bridge", "0.4 mm"}, {"width_top", "5 mm"}, {"width_bottom", "3 mm"}, {"body_height", "12 mm"}};
  const Section s = draw_section(make_machine(texts));
  const SideSection& rotor = s.sides[1];
  double nearest = 1;  // of the bars' corners to the surface
  for (const Region& region : s.regions) {
    if (region.role != Role::bar) continue;
    for (int c : region.loops[0]) {
      const Point p = rotor.points[rotor.curves[c < 0 ? -1 - c : c].start];
      nearest = std::min(nearest, s.rotor_radius - std::hypot(p.x, p.y));
    }
  }
  EXPECT_NEAR(nearest, 0.4e-3, 1e-12);
}

// Machines of random dimensions (a fixed seed): each draws without holes or is refused as input.
TEST(Catalogue, RandomMachinesDrawOrAreRefused) {
  std::mt19937 random(1);
  int drawn = 0, refused = 0;
  const auto vary = [&random](Texts& table) {
    for (auto& [name, text] : table) {
      double number = 0;
      std::string unit;
      if (!split_quantity(text, number, unit) || unit != "mm") continue;
      text = fmt::format("{:.3f} mm", number * std::uniform_real_distribution<>(0.6, 1.6)(random));
    }
  };
  const std::vector<MachineTexts> rotors = all_rotor_texts();
  for (int i = 0; i < 1300; ++i) {
    MachineTexts texts = rotors[i % rotors.size()];
    if (texts.rotor_type == "cage") {
      const auto& shapes = slot_catalogue();
      const auto count = static_cast<std::size_t>(
          std::count_if(shapes.begin(), shapes.end(), [](const CatalogueEntry& e) { return !e.is_drawn; }));
      texts.rotor_slot_type = shapes[random() % count].name;  // drawn ones stand last
      texts.rotor_slot = slot_texts(texts.rotor_slot_type, true);
    }
    vary(texts.slot);
    vary(texts.rotor);
    vary(texts.rotor_slot);
    const Outcome outcome = try_to_draw(texts);
    (outcome.drawn ? drawn : refused) += 1;
    if (!outcome.drawn) {
      EXPECT_EQ(outcome.code, ExitCode::input) << i << ": " << outcome.text;
    }
  }
  EXPECT_GT(drawn, 300);
  EXPECT_GT(refused, 100);
}

}  // namespace
}  // namespace polepitch
