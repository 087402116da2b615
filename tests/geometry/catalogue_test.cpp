// Every entry of the catalogue: its table is sound, it draws with its defaults' machine, and each parameter at each of
// its bounds either draws rings without a hole or is refused in the words of the case file.
#include "geometry/catalogue.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <map>
#include <numbers>
#include <random>

#include "geometry/section.h"
#include "machine_helper.h"

namespace polepitch {
namespace {

using namespace testing;
constexpr double pi = std::numbers::pi;

// Relative difference of a side's regions from its whole ring.
double hole(const Section& s, Side side) {
  const SideSection& drawn = s.sides[static_cast<int>(side)];
  double sum = 0;
  for (const Region& region : s.regions)
    if (region.side == side) sum += region.area;
  const double a = drawn.gap_radius, b = drawn.far_radius;
  return sum * s.sectors / (pi * std::abs(a * a - b * b)) - 1;
}

struct Outcome {
  bool drawn = false;
  std::string text;
  ExitCode code = ExitCode::ok;
};

Outcome try_to_draw(const MachineTexts& texts) {
  try {
    const Section s = draw_section(make_machine(texts));
    EXPECT_NEAR(hole(s, Side::stator), 0, 1e-12);
    EXPECT_NEAR(hole(s, Side::rotor), 0, 1e-12);
    for (const Region& region : s.regions) EXPECT_GT(region.area, 0) << region.name;
    return {true, "", ExitCode::ok};
  } catch (const Error& error) {
    std::string text;
    for (const Diagnostic& d : error.diagnostics()) {
      EXPECT_FALSE(d.hint.empty()) << d.message;
      text += d.message + "\n  " + d.hint + "\n";
    }
    return {false, text, error.code()};
  }
}

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

// Dimensions that fit a 48-slot stator and a 28-bar rotor.
Texts slot_texts(const std::string& name, bool rotor) {
  const std::string width = rotor ? "4 mm" : "5 mm", height = rotor ? "10 mm" : "15 mm";
  if (name == "trapezoidal" || name == "round-bottom")
    return {{"opening_width", "1.5 mm"}, {"width_top", width}, {"width_bottom", "3 mm"}, {"body_height", height}};
  if (name == "rectangular-open") return {{"width", width}, {"height", height}, {"wedge_height", "1 mm"}};
  if (name == "closed-trapezoidal") return {{"width_top", width}, {"width_bottom", "3 mm"}, {"body_height", height}};
  return {{"diameter", "5 mm"}};
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

TEST(Catalogue, EveryRotorAtItsBounds) {
  for (MachineTexts texts : {salient_texts(), cage_texts(), magnet_texts(), layers_texts()})
    sweep_bounds(texts, texts.rotor, table_of(rotor_catalogue(), texts.rotor_type), "rotor");
}

TEST(Catalogue, EveryStatorAtItsBounds) {
  for (MachineTexts texts : {cage_texts(), layers_texts()})
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

// Faults between parameters: the words that the user must see.
struct Fault {
  const char* table;
  const char* name;
  const char* value;
  const char* expected;
};

void expect_faults(const MachineTexts& good, const std::vector<Fault>& faults) {
  for (const Fault& fault : faults) {
    MachineTexts texts = good;
    const std::string table = fault.table;
    (table == "stator"       ? texts.stator
     : table == "rotor"      ? texts.rotor
     : table == "rotor.slot" ? texts.rotor_slot
                             : texts.slot)[fault.name] = fault.value;
    const Outcome outcome = try_to_draw(texts);
    EXPECT_FALSE(outcome.drawn) << fault.name;
    EXPECT_NE(outcome.text.find(fault.expected), std::string::npos) << fault.expected << "\n" << outcome.text;
  }
}

TEST(CatalogueFaults, Slots) {
  // Pitch at the 165 mm bore with 48 slots: π · 165/48 = 10.8 mm.
  expect_faults(salient_texts(),
                {{"slot", "opening_width", "12 mm",
                  "stator.slot.opening_width = 12 mm is wider than the slot pitch at the bore, 10.8 mm"},
                 {"slot", "tooth_width", "12 mm", "stator.slot.tooth_width = 12 mm leaves no slot between the teeth"},
                 {"slot", "body_height", "45 mm", "stator.slot.body_height = 45 mm makes the slot"},
                 {"slot", "corner_radius", "9 mm", "stator.slot.corner_radius = 9 mm is too large for the slot bottom"},
                 {"slot", "width_top", "5 mm", "stator.slot.tooth_width is given beside the widths"},
                 {"stator", "outer_diameter", "160 mm", "stator.outer_diameter = 160 mm is not larger than the bore"}});
  expect_faults(cage_texts(), {{"rotor.slot", "width_top", "14 mm", "rotor.slot.width_top = 14 mm leaves no tooth"},
                               {"rotor.slot", "opening_width", "5.5 mm",
                                "rotor.slot.opening_width = 5.5 mm is wider than the slot body"},
                               {"rotor.slot", "body_height", "60 mm", "rotor.slot.body_height = 60 mm makes the slot"},
                               {"rotor", "shaft_diameter", "85 mm", "rotor.slot.body_height = 14 mm makes the slot"}});
}

TEST(CatalogueFaults, SalientPole) {
  expect_faults(
      salient_texts(),
      {{"rotor", "shoe_width", "70 mm", "rotor.shoe_width = 70 mm makes the shoes of neighbouring poles overlap"},
       {"rotor", "shoe_width", "20 mm", "rotor.shoe_width = 20 mm is narrower than the pole body, 22 mm"},
       {"rotor", "body_width", "38 mm", "rotor.body_width = 38 mm is wider than the pole pitch on the yoke"},
       {"rotor", "shoe_height", "4 mm", "rotor.shoe_height = 4 mm is less than the shoe needs at its tips"},
       {"rotor", "coil_width", "20 mm", "rotor.coil_width = 20 mm makes the coils of neighbouring poles overlap"},
       {"rotor", "coil_height", "35 mm", "rotor.coil_height = 35 mm does not fit between shoe and yoke"},
       {"rotor", "yoke_diameter", "45 mm", "rotor.yoke_diameter = 45 mm leaves no yoke around the shaft, 50 mm"},
       {"rotor", "yoke_diameter", "160 mm", "rotor.yoke_diameter = 160 mm reaches the pole shoes"},
       {"rotor", "face_radius", "90 mm", "rotor.face_radius = 90 mm is larger than the rotor's radius, 81.5 mm"},
       {"rotor", "air_gap", "90 mm", "rotor.air_gap = 90 mm leaves no rotor in the bore"}});
}

// The value that a hint names is accepted.
TEST(CatalogueFaults, HintsAreRight) {
  for (const auto& [name, value] : std::map<std::string, std::string>{
           {"shoe_width", "70 mm"}, {"coil_width", "20 mm"}, {"coil_height", "35 mm"}, {"shoe_height", "4 mm"}}) {
    MachineTexts texts = salient_texts();
    texts.rotor[name] = value;
    const Outcome outcome = try_to_draw(texts);
    const std::size_t hint = outcome.text.find("\n  ", outcome.text.find("rotor." + name));
    ASSERT_NE(hint, std::string::npos) << outcome.text;
    double allowed = 0;
    ASSERT_EQ(std::sscanf(outcome.text.c_str() + outcome.text.find_first_of("0123456789", hint), "%lf", &allowed), 1);
    texts.rotor[name] = fmt::format("{} mm", allowed);
    const Outcome second = try_to_draw(texts);
    EXPECT_TRUE(second.drawn) << outcome.text << "then: " << second.text;
  }
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
  for (int i = 0; i < 400; ++i) {
    MachineTexts texts = i % 4 == 0   ? salient_texts()
                         : i % 4 == 1 ? cage_texts()
                         : i % 4 == 2 ? magnet_texts()
                                      : layers_texts();
    if (i % 4 == 1) {
      const auto& shapes = slot_catalogue();
      texts.rotor_slot_type = shapes[random() % shapes.size()].name;
      texts.rotor_slot = slot_texts(texts.rotor_slot_type, true);
    }
    vary(texts.slot);
    vary(texts.rotor);
    vary(texts.rotor_slot);
    const Outcome outcome = try_to_draw(texts);
    (outcome.drawn ? drawn : refused) += 1;
    if (!outcome.drawn) EXPECT_EQ(outcome.code, ExitCode::input) << i << ": " << outcome.text;
  }
  EXPECT_GT(drawn, 100);
  EXPECT_GT(refused, 20);
}

TEST(CatalogueFaults, MagnetsAndLayers) {
  expect_faults(magnet_texts(),
                {{"rotor", "magnet_thickness", "60 mm", "rotor.magnet_thickness = 60 mm leaves no core"},
                 {"rotor", "shaft_diameter", "170 mm", "rotor.shaft_diameter = 170 mm leaves no core in the rotor"}});
  expect_faults(
      layers_texts(),
      {{"rotor", "diameters", "40 mm, 70 mm", "the outermost ring, 70 mm, does not fit into the bore, 64 mm"},
       {"rotor", "diameters", "40 mm, 30 mm", "ring 2 ends at 30 mm, inside of the ring before it, 40 mm"},
       {"rotor", "diameters", "40 mm", "rotor.materials names 2 materials for 1 rings"},
       {"rotor", "magnet_ring", "3", "rotor.magnet_ring = 3 is more than the number of rings, 2"},
       {"stator", "zone_angle", "70 deg", "stator.zone_angle = 70 deg is wider than the pitch of 6 zones, 60 deg"},
       {"stator", "outer_diameter", "100 mm", "stator.outer_diameter = 100 mm is not larger than"}});
}

TEST(CatalogueFaults, AreReportedTogetherWithTheirPlaces) {
  MachineTexts texts = salient_texts();
  texts.slot["opening_width"] = "12 mm";
  texts.rotor["shoe_width"] = "70 mm";
  texts.winding["layers"] = "1";
  texts.stator["slots"] = "45";  // no single-layer winding
  try {
    draw_section(make_machine(texts));
    FAIL();
  } catch (const InputError& error) {
    EXPECT_GE(error.diagnostics().size(), 3u);
    for (const Diagnostic& d : error.diagnostics()) EXPECT_GT(d.place.line, 0) << d.message;
  }
}

TEST(CatalogueFaults, UnknownTypesNameTheKnown) {
  Machine machine = make_machine(salient_texts());
  machine.rotor.type = "salient-poles";
  try {
    draw_section(machine);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_NE(error.diagnostics()[0].hint.find("did you mean 'salient-pole'?"), std::string::npos);
  }
}

}  // namespace
}  // namespace polepitch
