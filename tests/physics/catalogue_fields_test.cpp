// Every entry of the catalogue at each bound of each parameter gives a mesh on which the field converges, or is refused
// as input naming a parameter of the case. The field is checked by an identity that holds on any mesh: the linkage of
// phase A is the slope of the co-energy (central difference).
#include <gtest/gtest.h>

#include <cmath>

#include <fmt/format.h>

#include "geometry/catalogue.h"
#include "post/dq.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

using Table = std::vector<std::pair<std::string, std::string>>;

struct Texts {
  std::string head;  // everything but the tables below
  std::string stator_type = "slotted", stator_shape, rotor_type, rotor_shape;
  Table stator, stator_slot, rotor, rotor_slot;
  std::string tail;  // a table more
};

std::string table_text(const std::string& header, const std::string& key, const std::string& type, const Table& table) {
  if (type.empty()) return "";
  std::string text = fmt::format("\n[{}]\n{} = \"{}\"\n", header, key, type);
  for (const auto& [name, value] : table) text += name + " = " + value + "\n";
  return text;
}

std::string text_of(const Texts& t) {
  return t.head + table_text("stator", "type", t.stator_type, t.stator) +
         table_text("stator.slot", "shape", t.stator_shape, t.stator_slot) +
         table_text("rotor", "type", t.rotor_type, t.rotor) +
         table_text("rotor.slot", "shape", t.rotor_shape, t.rotor_slot) + t.tail;
}

Texts base() {
  Texts t;
  t.head = R"toml(title = "Catalogue entry (invented)"
[rating]
power = "7.5 kVA"
line_voltage = "400 V"
frequency = "50 Hz"
power_factor = 0.85
[machine]
pole_pairs = 2
length = "120 mm"
stator_material = "M400-50A"
[winding]
layers = 1
turns_per_coil = 25
)toml";
  t.stator = {{"slots", "12"}, {"bore_diameter", "\"110 mm\""}, {"outer_diameter", "\"180 mm\""}};
  t.stator_shape = "rectangular-open";
  t.stator_slot = {{"width", "\"10 mm\""}, {"height", "\"15 mm\""}};
  t.rotor_type = "cage";
  t.rotor = {{"air_gap", "\"1 mm\""}, {"bars", "16"}, {"shaft_diameter", "\"38 mm\""}};
  t.rotor_shape = "round";
  t.rotor_slot = {{"diameter", "\"6 mm\""}};
  return t;
}

Table slot_table(const std::string& shape, bool rotor);

/// A stator inside its rotor.
Texts turned_out() {
  Texts t = base();
  t.stator_type = "inner-slotted";
  t.stator = {{"slots", "12"}, {"outer_diameter", "\"110 mm\""}, {"inner_diameter", "\"40 mm\""}};
  t.rotor_type = "outer-surface-magnet";
  t.rotor_shape.clear();
  t.rotor_slot.clear();
  t.rotor = {{"air_gap", "\"1 mm\""},
             {"magnet_thickness", "\"4 mm\""},
             {"magnet_material", "\"demo-magnet\""},
             {"outer_diameter", "\"160 mm\""}};
  return t;
}

Texts with_rotor(const std::string& type) {
  if (type == "outer-surface-magnet") return turned_out();
  Texts t = base();
  t.rotor_shape.clear();
  t.rotor_type = type;
  if (type == "salient-pole")
    t.rotor = {{"air_gap", "\"1 mm\""},         {"body_width", "\"32 mm\""},
               {"shoe_width", "\"58 mm\""},     {"shoe_height", "\"13 mm\""},
               {"tip_height", "\"4 mm\""},      {"yoke_diameter", "\"56 mm\""},
               {"shaft_diameter", "\"30 mm\""}, {"coil_width", "\"5 mm\""},
               {"coil_height", "\"11 mm\""},    {"field_turns", "80"}};
  else if (type == "double-cage") {
    t.rotor = base().rotor;
    t.rotor_shape = "double";
    t.rotor_slot = slot_table("double", true);
  } else if (type == "wound") {
    t.rotor = {{"air_gap", "\"1 mm\""}, {"slots", "24"}, {"shaft_diameter", "\"38 mm\""}};
    t.rotor_shape = "round";
    t.rotor_slot = {{"diameter", "\"6 mm\""}};
    t.tail = "\n[rotor.winding]\nturns_per_coil = 5\nlayers = 1\n";
  } else if (type == "surface-magnet")
    t.rotor = {{"air_gap", "\"1 mm\""},
               {"magnet_thickness", "\"4 mm\""},
               {"magnet_material", "\"demo-magnet\""},
               {"shaft_diameter", "\"38 mm\""}};
  else if (type == "layers")
    t.rotor = {{"diameters", "[\"38 mm\", \"108 mm\"]"}, {"materials", "[\"air\", \"demo-steel\"]"}};
  else if (type == "cylindrical") {
    t.rotor = {{"air_gap", "\"1 mm\""},
               {"slot_pitches", "24"},
               {"wound_slots", "4"},
               {"coil_turns", "[10, 20]"},
               {"shaft_diameter", "\"38 mm\""}};
    t.rotor_shape = "rectangular-open";
    t.rotor_slot = {{"width", "\"6 mm\""}, {"height", "\"14 mm\""}};
  } else if (type == "reluctance")
    t.rotor = {{"air_gap", "\"0.6 mm\""},
               {"barrier_depths", "[\"7 mm\", \"18 mm\"]"},
               {"barrier_thicknesses", "[\"4 mm\", \"5 mm\"]"},
               {"barrier_spans", "[0.45, 0.75]"},
               {"shaft_diameter", "\"38 mm\""}};
  else if (type.starts_with("buried") || type == "spoke") {
    t.rotor = {{"air_gap", "\"1 mm\""}, {"magnet_material", "\"demo-magnet\""}, {"shaft_diameter", "\"30 mm\""}};
    const Table own =
        type == "spoke" ? Table{{"magnet_height", "\"20 mm\""}, {"magnet_thickness", "\"10 mm\""}}
        : type == "buried-flat"
            ? Table{{"magnet_width", "\"44 mm\""}, {"magnet_thickness", "\"6 mm\""}, {"magnet_depth", "\"11 mm\""}}
            : Table{{"magnet_width", "\"24 mm\""}, {"magnet_thickness", "\"5 mm\""}};
    t.rotor.insert(t.rotor.end(), own.begin(), own.end());
  }
  return t;
}

Table slot_table(const std::string& shape, bool rotor) {
  const std::string wide = rotor ? "\"8 mm\"" : "\"12 mm\"", narrow = "\"6 mm\"",
                    high = rotor ? "\"10 mm\"" : "\"15 mm\"";
  if (shape == "trapezoidal" || shape == "round-bottom")
    return {{"opening_width", "\"2.5 mm\""}, {"width_top", wide}, {"width_bottom", narrow}, {"body_height", high}};
  if (shape == "double")
    return {{"upper_width_top", narrow}, {"upper_width_bottom", narrow}, {"upper_height", "\"4 mm\""},
            {"slit_height", "\"3 mm\""}, {"lower_width_top", narrow},    {"lower_width_bottom", "\"4 mm\""},
            {"lower_height", "\"6 mm\""}};
  if (shape == "closed-trapezoidal") return {{"width_top", wide}, {"width_bottom", narrow}, {"body_height", high}};
  if (shape == "rectangular-open") return {{"width", wide}, {"height", high}};
  return {{"diameter", wide}};
}

struct Tally {
  int solved = 0, refused = 0;
};

/// Meshes and solves coarsely, or is refused; says what it was about.
void try_machine(const Texts& texts, const std::string& what, Tally& tally) {
  std::unique_ptr<TestMachine> machine;
  try {
    machine = make_machine(text_of(texts), 0.2, {}, 1e-8);
  } catch (const Error& error) {
    ++tally.refused;
    EXPECT_EQ(error.code(), ExitCode::input) << what << ": " << error.what();
    bool names = true;
    for (const Diagnostic& d : error.diagnostics()) {
      const bool parameter = d.message.find("rotor.") != std::string::npos ||
                             d.message.find("stator.") != std::string::npos ||
                             d.message.find("winding") != std::string::npos;
      names = names && parameter && !d.hint.empty();
    }
    EXPECT_TRUE(names) << what << ": " << error.what();
    return;
  }
  ++tally.solved;
  try {
    Excitation e = phase_excitation(machine->section, std::vector<double>{10, -6, -4}, 2, 0.1);
    const StaticSolution at = machine->field->solve(e);
    const double linkage = machine->field->linkages(at)[0];
    e.currents[0] += 0.01;
    const double up = machine->field->coenergy(machine->field->solve(e, &at), e);
    e.currents[0] -= 0.02;
    const double down = machine->field->coenergy(machine->field->solve(e, &at), e);
    EXPECT_GT(machine->field->energy(at), 0) << what;
    EXPECT_NEAR((up - down) / 0.02 / linkage, 1, 1e-4) << what;
  } catch (const Error& error) {
    ADD_FAILURE() << what << ": " << error.what();
  }
}

void set(Table& table, const std::string& name, const std::string& value) {
  for (auto& [key, old] : table)
    if (key == name) {
      old = value;
      return;
    }
  table.emplace_back(name, value);
}

void sweep_bounds(Texts texts, Table Texts::*table, const std::vector<Parameter>& parameters, Tally& tally) {
  for (const Parameter& p : parameters) {
    if (p.form != Form::quantity && p.form != Form::integer) continue;
    for (double bound : {p.lower, p.upper}) {
      std::string value = p.form == Form::integer ? std::to_string(static_cast<int>(bound)) : fmt::format("{}", bound);
      if (p.kind != Kind::number) value = "\"" + value + " " + p.unit + "\"";
      Texts now = texts;
      set(now.*table, p.name, value);
      try_machine(now,
                  fmt::format("{}/{}/{}/{}: {} = {}", now.stator_type, now.stator_shape, now.rotor_type,
                              now.rotor_shape, p.name, value),
                  tally);
    }
  }
}

const CatalogueEntry& entry(const std::vector<CatalogueEntry>& catalogue, const std::string& name) {
  for (const CatalogueEntry& e : catalogue)
    if (e.name == name) return e;
  throw std::logic_error("no entry " + name);
}

TEST(CatalogueFields, StatorSlotsAtTheirBounds) {
  Tally tally;
  for (const CatalogueEntry& shape : slot_catalogue()) {
    if (shape.is_drawn) continue;  // needs a file: tests/cases/drawn_side_test.cpp
    Texts t = with_rotor("layers");
    t.stator_shape = shape.name;
    t.stator_slot = slot_table(shape.name, false);
    Tally own;
    try_machine(t, shape.name, own);
    EXPECT_EQ(own.solved, 1) << shape.name;
    sweep_bounds(t, &Texts::stator_slot, shape.parameters, tally);
  }
  RecordProperty("solved", tally.solved);
  RecordProperty("refused", tally.refused);
  EXPECT_GT(tally.solved, 20);
  EXPECT_GT(tally.refused, 20);
}

TEST(CatalogueFields, RotorSlotsAtTheirBounds) {
  Tally tally;
  for (const CatalogueEntry& shape : slot_catalogue()) {
    if (shape.is_drawn) continue;  // needs a file: tests/cases/drawn_side_test.cpp
    Texts t = base();
    t.rotor_shape = shape.name;
    t.rotor_slot = slot_table(shape.name, true);
    Tally own;
    try_machine(t, shape.name, own);
    EXPECT_EQ(own.solved, 1) << shape.name;
    sweep_bounds(t, &Texts::rotor_slot, shape.parameters, tally);
  }
  RecordProperty("solved", tally.solved);
  RecordProperty("refused", tally.refused);
  EXPECT_GT(tally.solved, 20);
}

TEST(CatalogueFields, RotorsAtTheirBounds) {
  Tally tally;
  for (const CatalogueEntry& rotor : rotor_catalogue()) {
    if (rotor.is_drawn) continue;  // needs a file: tests/cases/drawn_side_test.cpp
    const Texts t = rotor.name == "cage" ? base() : with_rotor(rotor.name);
    Tally own;
    try_machine(t, rotor.name, own);
    EXPECT_EQ(own.solved, 1) << rotor.name;
    sweep_bounds(t, &Texts::rotor, rotor.parameters, tally);
  }
  RecordProperty("solved", tally.solved);
  RecordProperty("refused", tally.refused);
  EXPECT_GT(tally.solved, 10);
}

TEST(CatalogueFields, StatorsAtTheirBounds) {
  Tally tally;
  for (const std::string type : {"slotted", "slotless", "inner-slotted", "inner-slotless"}) {
    const bool inside = type.starts_with("inner");
    Texts t = inside ? turned_out() : with_rotor("layers");
    t.stator_type = type;
    if (type.ends_with("slotless")) {
      t.stator_shape.clear();
      t.stator = {{inside ? "inner_diameter" : "bore_diameter", inside ? "\"40 mm\"" : "\"110 mm\""},
                  {"outer_diameter", inside ? "\"110 mm\"" : "\"180 mm\""},
                  {"shell_thickness", "\"5 mm\""},
                  {"zones", "12"},
                  {"zone_angle", "\"25 deg\""}};
    }
    Tally own;
    try_machine(t, type, own);
    EXPECT_EQ(own.solved, 1) << type;
    sweep_bounds(t, &Texts::stator, entry(stator_catalogue(), type).parameters, tally);
  }
  RecordProperty("solved", tally.solved);
  RecordProperty("refused", tally.refused);
  EXPECT_GT(tally.solved, 2);
}

}  // namespace
}  // namespace polepitch::test
