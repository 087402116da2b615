// Faults between parameters: each is refused before drawing, in the words of the case file, with a hint that is right.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <map>

#include "geometry/section.h"
#include "machine_helper.h"

namespace polepitch {
namespace {

using namespace testing;

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

TEST(CatalogueFaults, RotorOutside) {
  // Pitch at the 90 mm surface with 12 slots: π · 90/12 = 23.56 mm. Magnets: 90 mm + 2 (1 mm + 3.5 mm) = 99 mm.
  expect_faults(
      outer_magnet_texts(),
      {{"slot", "opening_width", "24 mm",
        "stator.slot.opening_width = 24 mm is wider than the slot pitch at the stator surface, 23.56 mm"},
       {"slot", "body_height", "25 mm", "stator.slot.body_height = 25 mm makes the slot"},
       {"stator", "inner_diameter", "95 mm", "stator.inner_diameter = 95 mm is not smaller than the core, 90 mm"},
       {"rotor", "outer_diameter", "99 mm",
        "rotor.outer_diameter = 99 mm leaves no yoke around the magnets, which reach 99 mm in diameter"}});
  expect_faults(outer_slotless_texts(),
                {{"stator", "inner_diameter", "85 mm",
                  "stator.inner_diameter = 85 mm leaves no core under the winding shell, 82 mm in diameter"},
                 {"stator", "shell_thickness", "46 mm",
                  "stator.shell_thickness = 46 mm leaves no core, the stator is 90 mm in diameter"},
                 {"stator", "zone_angle", "40 deg", "stator.zone_angle = 40 deg is wider than the pitch of 12 zones"}});
}

// One side lies inside the other; who does not fit to whom is told with those that do.
TEST(CatalogueFaults, SidesOfDifferentPlaces) {
  MachineTexts texts = outer_magnet_texts();
  texts.rotor_type = "surface-magnet";
  texts.rotor = magnet_texts().rotor;
  EXPECT_EQ(try_to_draw(texts).text,
            "rotor.type = \"surface-magnet\" turns inside its stator, but stator.type = \"inner-slotted\" lies inside "
            "its rotor\n  take a stator around the rotor (slotted, slotless, drawing), or a rotor around the stator "
            "(outer-surface-magnet, outer-drawing)\n");
  texts = salient_texts();
  texts.rotor_type = "outer-surface-magnet";
  texts.rotor = outer_magnet_texts().rotor;
  const Outcome outcome = try_to_draw(texts);
  EXPECT_EQ(outcome.code, ExitCode::input);
  EXPECT_NE(
      outcome.text.find(
          "turns around its stator, but stator.type = \"slotted\" lies around its rotor\n  take a "
          "stator inside the rotor (inner-slotted, inner-slotless, inner-drawing), or a rotor inside the stator ("),
      std::string::npos)
      << outcome.text;
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
