#include "machine_helper.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <sstream>
#include <stdexcept>

#include "geometry/section.h"

namespace polepitch::testing {

namespace {

double quantity(const Parameter& p, const std::string& text) {
  if (p.kind == Kind::number) return std::stod(text);
  double number = 0;
  std::string unit;
  if (!split_quantity(text, number, unit)) throw std::logic_error("test machine: " + p.name + " = " + text);
  return to_si(p.kind, number, unit);
}

// "a, b, c" or "[]".
std::vector<std::string> items(const std::string& text) {
  std::vector<std::string> list;
  std::stringstream in(text == "[]" ? "" : text);
  for (std::string item; std::getline(in, item, ',');) list.push_back(item.substr(item.find_first_not_of(' ')));
  return list;
}

ValueData parse(const Parameter& p, const std::string& text) {
  switch (p.form) {
    case Form::quantity:
      return quantity(p, text);
    case Form::integer:
      return std::stoi(text);
    case Form::flag:
      return text == "true";
    case Form::choice:
    case Form::text:
      return text;
    case Form::text_list:
      return items(text);
    case Form::quantity_list: {
      std::vector<double> list;
      for (const std::string& item : items(text)) list.push_back(quantity(p, item));
      return list;
    }
    case Form::integer_list: {
      std::vector<int> list;
      for (const std::string& item : items(text)) list.push_back(std::stoi(item));
      return list;
    }
    case Form::integer_table:
      break;
  }
  throw std::logic_error("test machine: no table for " + p.name);
}

// Relative difference of a side's regions from its whole ring.
double hole(const Section& s, Side side) {
  const SideSection& drawn = s.sides[static_cast<int>(side)];
  double sum = 0;
  for (const Region& region : s.regions)
    if (region.side == side) sum += region.area;
  const double a = drawn.gap_radius, b = drawn.far_radius;
  return sum * s.sectors / (std::numbers::pi * std::abs(a * a - b * b)) - 1;
}

}  // namespace

Block make_block(const std::string& path, const std::string& type, const std::vector<Parameter>& table,
                 const Texts& given) {
  Block block;
  block.path = path;
  block.type = type;
  block.present = true;
  block.place = {"test.toml", 1, 1};
  int line = 2;
  for (const Parameter& p : table) {
    const auto it = given.find(p.name);
    const std::string text = it != given.end() ? it->second : p.fallback;
    if (!text.empty()) block.values.set(p.name, {parse(p, text), {"test.toml", line, 1}, it != given.end()});
    ++line;
  }
  for (const auto& [name, text] : given)
    if (!block.values.has(name)) throw std::logic_error("test machine: " + path + " has no " + name);
  return block;
}

const std::vector<Parameter>& table_of(const std::vector<CatalogueEntry>& catalogue, const std::string& name) {
  for (const CatalogueEntry& entry : catalogue)
    if (entry.name == name) return entry.parameters;
  throw std::logic_error("test machine: no type " + name);
}

MachineTexts salient_texts() {
  MachineTexts t;
  t.general = {{"pole_pairs", "4"},         {"length", "120 mm"}, {"stator_material", "steel"},
               {"rotor_material", "steel"}, {"shaft", "meshed"},  {"shaft_material", "shaft-steel"}};
  t.stator = {{"slots", "48"}, {"bore_diameter", "165 mm"}, {"outer_diameter", "250 mm"}};
  t.slot = {{"opening_width", "2.5 mm"},
            {"opening_height", "0.8 mm"},
            {"flare_height", "1 mm"},
            {"tooth_width", "5.5 mm"},
            {"body_height", "20 mm"}};
  t.winding = {{"turns_per_coil", "5"}, {"coil_span", "5"}, {"layers", "2"}};
  t.rotor = {{"air_gap", "1 mm"},      {"body_width", "22 mm"},    {"shoe_width", "42 mm"},     {"shoe_height", "9 mm"},
             {"tip_height", "3 mm"},   {"yoke_diameter", "95 mm"}, {"shaft_diameter", "50 mm"}, {"coil_width", "6 mm"},
             {"coil_height", "20 mm"}, {"field_turns", "80"}};
  return t;
}

MachineTexts cage_texts() {
  MachineTexts t = salient_texts();
  t.general["pole_pairs"] = "2";
  t.stator = {{"slots", "36"}, {"bore_diameter", "110 mm"}, {"outer_diameter", "180 mm"}};
  t.slot = {{"opening_width", "2.5 mm"}, {"opening_height", "0.7 mm"}, {"flare_height", "1 mm"},
            {"tooth_width", "4.5 mm"},   {"body_height", "14 mm"},     {"corner_radius", "1 mm"}};
  t.winding = {{"turns_per_coil", "20"}, {"layers", "1"}};
  t.rotor_type = "cage";
  t.rotor = {{"air_gap", "0.4 mm"}, {"bars", "28"}, {"shaft_diameter", "38 mm"}};
  t.rotor_slot_type = "trapezoidal";
  t.rotor_slot = {{"opening_width", "1 mm"}, {"opening_height", "0.7 mm"}, {"flare_height", "0.5 mm"},
                  {"width_top", "5 mm"},     {"width_bottom", "2.5 mm"},   {"body_height", "14 mm"}};
  return t;
}

MachineTexts double_cage_texts() {
  MachineTexts t = cage_texts();
  t.rotor_type = "double-cage";
  t.rotor["rings"] = "separate";
  t.rotor_slot_type = "double";
  t.rotor_slot = slot_texts("double", true);
  return t;
}

MachineTexts wound_texts() {
  MachineTexts t = cage_texts();
  t.rotor_type = "wound";
  t.rotor = {{"air_gap", "0.6 mm"}, {"slots", "24"}, {"shaft_diameter", "38 mm"}};
  t.rotor_winding = {{"turns_per_coil", "8"}, {"layers", "2"}, {"coil_span", "5"}};
  return t;
}

MachineTexts magnet_texts() {
  MachineTexts t = salient_texts();
  t.rotor_type = "surface-magnet";
  t.rotor = {{"air_gap", "1 mm"},
             {"magnet_thickness", "4 mm"},
             {"magnet_arc", "0.8"},
             {"shaft_diameter", "60 mm"},
             {"magnet_material", "magnet"}};
  return t;
}

MachineTexts layers_texts() {
  MachineTexts t;
  t.general = {{"pole_pairs", "1"}, {"length", "1000 mm"}, {"stator_material", "steel"}, {"outer_boundary", "open"}};
  t.stator_type = "slotless";
  t.slot_type = "";
  t.stator = {{"bore_diameter", "64 mm"}, {"shell_thickness", "20 mm"}, {"outer_diameter", "114 mm"}, {"zones", "6"},
              {"zone_angle", "45 deg"},   {"laminated", "false"}};
  t.winding = {{"turns_per_coil", "1"}, {"layers", "1"}};
  t.rotor_type = "layers";
  t.rotor = {{"diameters", "40 mm, 60 mm"}, {"materials", "steel, aluminium"}};
  return t;
}

MachineTexts outer_magnet_texts() {
  MachineTexts t;
  t.general = {{"pole_pairs", "7"}, {"length", "60 mm"}, {"stator_material", "steel"}, {"shaft", "hollow"}};
  t.stator_type = "inner-slotted";
  t.stator = {{"slots", "12"}, {"outer_diameter", "90 mm"}, {"inner_diameter", "40 mm"}};
  t.slot = {{"opening_width", "3 mm"},
            {"opening_height", "1.2 mm"},
            {"flare_height", "1.2 mm"},
            {"tooth_width", "11 mm"},
            {"body_height", "13 mm"}};
  t.winding = {{"turns_per_coil", "36"}, {"coil_span", "1"}, {"layers", "2"}};
  t.rotor_type = "outer-surface-magnet";
  t.rotor = {{"air_gap", "1 mm"},
             {"magnet_thickness", "3.5 mm"},
             {"magnet_arc", "0.85"},
             {"outer_diameter", "111 mm"},
             {"magnet_material", "magnet"}};
  return t;
}

MachineTexts outer_slotless_texts() {
  MachineTexts t = outer_magnet_texts();
  t.general["pole_pairs"] = "2";
  t.general["shaft"] = "meshed";
  t.general["shaft_material"] = "shaft-steel";
  t.stator_type = "inner-slotless";
  t.slot_type = "";
  t.stator = {{"outer_diameter", "90 mm"},
              {"shell_thickness", "4 mm"},
              {"inner_diameter", "30 mm"},
              {"zones", "12"},
              {"zone_angle", "30 deg"}};
  t.winding = {{"turns_per_coil", "20"}, {"layers", "1"}};
  t.rotor["magnetisation"] = "parallel";
  t.rotor["outer_diameter"] = "130 mm";
  return t;
}

MachineTexts rotor_texts(const std::string& name) {
  const Texts magnets = {{"air_gap", "1 mm"}, {"magnet_material", "magnet"}, {"shaft_diameter", "60 mm"}};
  const Texts barriers = {{"air_gap", "0.6 mm"},
                          {"shaft_diameter", "60 mm"},
                          {"barrier_depths", "5 mm, 13 mm, 21 mm"},
                          {"barrier_thicknesses", "3 mm, 4 mm, 4 mm"},
                          {"barrier_spans", "0.35, 0.57, 0.8"}};
  static const std::map<std::string, Texts> own = {
      {"buried-flat", {{"magnet_width", "38 mm"}, {"magnet_thickness", "5 mm"}, {"magnet_depth", "5 mm"}}},
      {"buried-v", {{"magnet_width", "17 mm"}, {"magnet_thickness", "5 mm"}}},
      {"spoke", {{"magnet_height", "28 mm"}, {"magnet_thickness", "10 mm"}}},
      {"spoke +",
       {{"magnet_height", "28 mm"}, {"magnet_thickness", "10 mm"}, {"opening_width", "4 mm"}, {"barrier", "hub-ring"}}},
      {"surface-magnet +",
       {{"magnet_thickness", "6 mm"},
        {"magnet_arc", "0.7"},
        {"magnet_shape", "bread-loaf"},
        {"sleeve_thickness", "1 mm"}}},
      {"reluctance", barriers},
      {"reluctance +", {{"barrier_shape", "straight"}, {"rib", "1 mm"}}},
      {"cylindrical", {{"air_gap", "1.5 mm"}, {"slot_pitches", "48"}, {"wound_slots", "4"}, {"coil_turns", "12, 20"}}},
      {"salient-pole +",
       {{"damper_bars", "5"},
        {"damper_diameter", "3 mm"},
        {"damper_pitch", "6 mm"},
        {"damper_depth", "0.5 mm"},
        {"damper_opening", "1.5 mm"}}}};
  MachineTexts t = salient_texts();
  t.rotor_type = name.substr(0, name.find(" +"));
  if (t.rotor_type == "reluctance") t.rotor = barriers;
  if (t.rotor_type == "cylindrical") {
    t.rotor_slot_type = "rectangular-open";
    t.rotor_slot = {{"width", "5 mm"}, {"height", "15 mm"}, {"wedge_height", "2 mm"}};
    t.rotor.clear();
  } else if (t.rotor_type != "salient-pole" && t.rotor_type != "reluctance") {
    t.rotor = magnets;
  }
  for (const auto& [key, text] : own.at(name)) t.rotor[key] = text;
  return t;
}

std::vector<MachineTexts> all_rotor_texts() {
  std::vector<MachineTexts> all = {salient_texts(), cage_texts(),   double_cage_texts(),  wound_texts(),
                                   magnet_texts(),  layers_texts(), outer_magnet_texts(), outer_slotless_texts()};
  for (const char* name : {"salient-pole +", "cylindrical", "surface-magnet +", "buried-flat", "buried-v", "spoke",
                           "spoke +", "reluctance", "reluctance +"})
    all.push_back(rotor_texts(name));
  return all;
}

Machine make_machine(const MachineTexts& t) {
  Machine machine;
  machine.general = make_block("machine", "", general_parameters(), t.general);
  machine.stator = make_block("stator", t.stator_type, table_of(stator_catalogue(), t.stator_type), t.stator);
  if (!t.slot_type.empty())
    machine.stator_slot = make_block("stator.slot", t.slot_type, table_of(slot_catalogue(), t.slot_type), t.slot);
  if (t.wound) machine.winding = make_block("winding", "", winding_parameters(), t.winding);
  machine.rotor = make_block("rotor", t.rotor_type, table_of(rotor_catalogue(), t.rotor_type), t.rotor);
  if (!t.rotor_slot_type.empty())
    machine.rotor_slot =
        make_block("rotor.slot", t.rotor_slot_type, table_of(slot_catalogue(), t.rotor_slot_type), t.rotor_slot);
  if (!t.rotor_winding.empty())
    machine.rotor_winding = make_block("rotor.winding", "", winding_parameters(), t.rotor_winding);
  return machine;
}

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

Texts slot_texts(const std::string& name, bool rotor) {
  const std::string width = rotor ? "4 mm" : "5 mm", height = rotor ? "10 mm" : "15 mm";
  if (name == "trapezoidal" || name == "round-bottom")
    return {{"opening_width", "1.5 mm"}, {"width_top", width}, {"width_bottom", "3 mm"}, {"body_height", height}};
  if (name == "rectangular-open") return {{"width", width}, {"height", height}, {"wedge_height", "1 mm"}};
  if (name == "double")
    return {{"upper_width_top", "4 mm"},    {"upper_width_bottom", "3.5 mm"}, {"upper_height", "4 mm"},
            {"slit_width", "1 mm"},         {"slit_height", "3 mm"},          {"lower_width_top", "3.5 mm"},
            {"lower_width_bottom", "2 mm"}, {"lower_height", "6 mm"}};
  if (name == "closed-trapezoidal") return {{"width_top", width}, {"width_bottom", "3 mm"}, {"body_height", height}};
  return {{"diameter", "5 mm"}};
}

}  // namespace polepitch::testing
