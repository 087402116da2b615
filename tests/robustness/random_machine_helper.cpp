#include "tests/robustness/random_machine_helper.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>

#include "cases/case_tables.h"
#include "cases/toml_tree.h"
#include "geometry/catalogue.h"
#include "geometry/units.h"
#include "tests/cases/case_text_helper.h"
#include "tests/robustness/toml_text_helper.h"

namespace polepitch {
namespace {

/// The standard fixes the generator, but not its distributions.
struct Dice {
  std::mt19937_64 random;
  double share() { return static_cast<double>(random() >> 11) * 0x1p-53; }
  bool chance(double p) { return share() < p; }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(random() % n); }
  double normal() { return std::sqrt(-2 * std::log(1 - share())) * std::cos(6.283185307179586 * share()); }
  template <class T>
  const T& of(const std::vector<T>& list) {
    return list[below(list.size())];
  }
};

/// How wildly one machine is changed.
struct Mood {
  double share;   // of the parameters that change
  double spread;  // of the logarithm of a size
};

/// Where the machines start from: every rotor of the catalogue. By name, so that a number stays the same machine when
/// ready cases are added.
const std::vector<std::string>& bases() {
  static const std::vector<std::string> names = {"bread-loaf-motor",    "buried-magnet-motor",   "cage-motor",
                                                 "closed-slot-motor",   "cylindrical-generator", "damper-generator",
                                                 "open-slot-generator", "reluctance-motor",      "ring-magnet-machine",
                                                 "salient-generator",   "six-pole-cage-motor",   "small-cage-motor",
                                                 "solid-rotor-machine", "spoke-magnet-motor",    "surface-magnet-motor",
                                                 "tooth-coil-motor",    "v-magnet-motor"};
  return names;
}

/// Of numbers from kLaterKinds on: rotors that came later, and sides from drawings.
const std::vector<std::string>& later_bases() {
  static const std::vector<std::string> names = {"cage-motor", "six-pole-cage-motor", "wound-rotor-motor",
                                                 "drawn-motor"};
  return names;
}

/// Of numbers from kOuterKinds on.
const std::vector<std::string>& outer_bases() {
  static const std::vector<std::string> names = {"drum-motor"};
  return names;
}

const std::vector<std::string>& bases_of(std::uint64_t number) {
  return number >= kOuterKinds ? outer_bases() : number >= kLaterKinds ? later_bases() : bases();
}

TomlNode text_node(std::string text) {
  TomlNode node;
  node.data = std::move(text);
  return node;
}

TomlNode number_node(const Parameter& p, double value) {
  TomlNode node;
  if (p.form == Form::integer || p.form == Form::integer_list)
    node.data = static_cast<std::int64_t>(std::llround(std::clamp(value, -1e9, 1e9)));
  else if (p.kind == Kind::number)
    node.data = value;
  else
    node.data = fmt::format("{:.6g} {}", value, p.unit);
  return node;
}

/// The number of a node in the parameter's unit; nothing where it has none.
std::optional<double> number_of(const Parameter& p, const TomlNode& node) {
  if (node.integer() != nullptr) return static_cast<double>(*node.integer());
  if (node.floating() != nullptr) return *node.floating();
  double number = 0;
  std::string unit;
  if (node.text() == nullptr || !split_quantity(*node.text(), number, unit)) return std::nullopt;
  return from_si(p.kind, to_si(p.kind, number, unit), p.unit);
}

double changed(double value, const Parameter& p, Dice& dice, const Mood& mood) {
  if (dice.chance(0.03) && std::isfinite(p.lower)) return p.lower;
  if (dice.chance(0.02) && std::isfinite(p.upper)) return p.upper;
  if (dice.chance(0.01)) return std::isfinite(p.lower) ? p.lower - 0.1 * std::abs(p.lower) - 0.01 : -value;
  if (dice.chance(0.01) && std::isfinite(p.upper)) return 1.1 * p.upper;
  if (dice.chance(0.01)) return 0;
  const bool whole = p.form == Form::integer || p.form == Form::integer_list;
  if (whole && dice.chance(0.5)) return value + static_cast<double>(dice.below(5)) - 2;
  return value * std::exp(mood.spread * dice.normal());
}

/// A value where the file has none: between the bounds, taken narrower than they are.
double drawn(const Parameter& p, Dice& dice) {
  const double low =
      std::isfinite(p.lower) ? std::max(p.lower, p.upper > 0 ? 1e-3 * std::min(p.upper, 1e3) : p.lower) : 1;
  const double high = std::isfinite(p.upper) ? p.upper : 100;
  if (low <= 0 || high <= low) return low + (high - low) * dice.share();
  return low * std::pow(std::min(high / low, 1e3), dice.share());
}

void change_node(TomlNode& node, const Parameter& p, Dice& dice, const Mood& mood) {
  switch (p.form) {
    case Form::quantity:
    case Form::integer:
      if (const auto value = number_of(p, node)) node = number_node(p, changed(*value, p, dice, mood));
      return;
    case Form::choice:
      node = text_node(dice.of(p.choices));
      return;
    case Form::flag:
      node.data = dice.chance(0.5);
      return;
    case Form::quantity_list:
    case Form::integer_list:
      if (auto* list = std::get_if<TomlNode::Array>(&node.data)) {
        for (TomlNode& item : *list)
          if (const auto value = number_of(p, item)) item = number_node(p, changed(*value, p, dice, mood));
        if (!list->empty() && dice.chance(0.2)) list->pop_back();
      }
      return;
    case Form::text:
    case Form::text_list:
    case Form::integer_table:
      return;
  }
}

TomlNode& entry(TomlNode& table, const std::string& key) {
  auto& entries = std::get<TomlNode::Table>(table.data);
  for (TomlEntry& e : entries)
    if (e.key == key) return e.value;
  entries.push_back({key, {}, TomlNode{{}, {}}});
  return entries.back().value;
}

void drop(TomlNode& table, const std::set<std::string>& keys) {
  std::erase_if(std::get<TomlNode::Table>(table.data), [&](const TomlEntry& e) { return keys.count(e.key) > 0; });
}

std::string type_of(const TomlNode& table, const std::string& key, const std::string& otherwise) {
  const TomlNode* node = find(table, key);
  return node != nullptr && node->text() != nullptr ? *node->text() : otherwise;
}

void change_table(TomlNode& table, const std::vector<Parameter>& parameters, Dice& dice, const Mood& mood) {
  for (const Parameter& p : parameters) {
    if (find(table, p.name) != nullptr) {
      if (dice.chance(p.form == Form::choice || p.form == Form::flag ? 0.3 * mood.share : mood.share))
        change_node(entry(table, p.name), p, dice, mood);
      if (dice.chance(0.01)) drop(table, {p.name});
    } else if (dice.chance(0.1 * mood.share)) {
      if (p.form == Form::quantity || p.form == Form::integer)
        entry(table, p.name) = number_node(p, drawn(p, dice));
      else if (p.form == Form::choice || p.form == Form::flag)
        change_node(entry(table, p.name), p, dice, mood);
    }
  }
}

const std::vector<Parameter>& parameters_of(const std::string& path) {
  static const std::vector<CaseTable> tables = case_tables();
  return std::find_if(tables.begin(), tables.end(), [&](const CaseTable& t) { return t.path == path; })->parameters;
}

const CatalogueEntry& named(const std::vector<CatalogueEntry>& catalogue, const std::string& name) {
  return *std::find_if(catalogue.begin(), catalogue.end(), [&](const CatalogueEntry& e) { return e.name == name; });
}

/// A slot of any shape that is about as wide and high as `pitch` and `depth` (mm) allow.
TomlNode drawn_slot(double pitch, double depth, Dice& dice) {
  TomlNode slot{TomlNode::Table{}, {}};
  static const std::vector<CatalogueEntry> shapes = [] {
    std::vector<CatalogueEntry> list = slot_catalogue();
    std::erase_if(list, [](const CatalogueEntry& e) { return e.is_drawn; });  // those need a file
    return list;
  }();
  const CatalogueEntry& shape = dice.of(shapes);
  entry(slot, "shape") = text_node(shape.name);
  for (const Parameter& p : shape.parameters) {
    double size = 0;
    if (p.name == "width" || p.name == "width_top" || p.name == "width_bottom" || p.name == "diameter")
      size = 0.55 * pitch;
    if (p.name == "height" || p.name == "body_height") size = 0.6 * depth;
    if (p.name == "opening_width") size = 0.2 * pitch;
    if (p.name == "opening_height" || p.name == "flare_height" || p.name == "bridge") size = 0.08 * pitch;
    if (p.name.starts_with("upper_width") || p.name.starts_with("lower_width")) size = 0.45 * pitch;
    if (p.name == "upper_height" || p.name == "lower_height") size = 0.3 * depth;
    if (p.name == "slit_width" || p.name == "slit_height") size = 0.15 * pitch;
    if (size > 0) entry(slot, p.name) = number_node(p, size * (0.7 + 0.6 * dice.share()));
  }
  return slot;
}

double size_of(const TomlNode& table, const std::string& key, double otherwise) {
  const Parameter length{.name = key, .kind = Kind::length, .unit = "mm"};
  const TomlNode* node = find(table, key);
  return node == nullptr ? otherwise : number_of(length, *node).value_or(otherwise);
}

/// Diameter of a stator at the air gap, mm.
double gap_diameter(const TomlNode& stator) {
  const bool inside = type_of(stator, "type", "").starts_with("inner-");
  return size_of(stator, inside ? "outer_diameter" : "bore_diameter", 100);
}

/// Depth of a core's slots, mm.
double slot_depth(const TomlNode& side, bool stator, double bore) {
  if (!stator) return 0.15 * bore;
  if (find(side, "inner_diameter") != nullptr) return 0.4 * (bore - size_of(side, "inner_diameter", 0));
  return 0.4 * (size_of(side, "outer_diameter", 1.6 * bore) - bore);
}

void change_side(TomlNode& root, const std::string& side, double bore, Dice& dice, const Mood& mood) {
  TomlNode& table = entry(root, side);
  const auto& catalogue = side == "stator" ? stator_catalogue() : rotor_catalogue();
  const CatalogueEntry& type = named(catalogue, type_of(table, "type", "slotted"));
  if (find(table, "slot") != nullptr && dice.chance(0.3)) {
    const char* keys[] = {"slots", "bars", "slot_pitches"};
    double count = 36;
    for (const char* key : keys)
      if (const TomlNode* node = find(table, key); node != nullptr && node->integer() != nullptr)
        count = static_cast<double>(std::max<std::int64_t>(1, *node->integer()));
    entry(table, "slot") = drawn_slot(3.14159 * bore / count, slot_depth(table, side == "stator", bore), dice);
  }
  change_table(table, type.parameters, dice, mood);
  if (find(table, "slot") != nullptr)
    change_table(entry(table, "slot"), named(slot_catalogue(), type_of(entry(table, "slot"), "shape", "")).parameters,
                 dice, mood);
}

/// One state of the machine, with currents around the rated one.
TomlNode drawn_study(const TomlNode& root, Dice& dice) {
  TomlNode study{TomlNode::Table{}, {}};
  const TomlNode* rotor = find(root, "rotor");
  entry(study, "type") = text_node("operating-point");
  entry(study, "positions").data = std::int64_t{1};
  if (find(root, "winding") != nullptr) {
    entry(study, "phase_current") = text_node(fmt::format("{:.4g} A", std::pow(10, 2.5 * dice.share() - 0.5)));
    entry(study, "current_angle") = text_node(fmt::format("{:.4g} deg", 360 * dice.share() - 180));
  }
  if (find(*rotor, "field_turns") != nullptr || find(*rotor, "coil_turns") != nullptr)
    entry(study, "field_current") = text_node(fmt::format("{:.4g} A", 50 * dice.share()));
  entry(study, "rotor_angle") = text_node(fmt::format("{:.4g} deg", 90 * dice.share()));
  return study;
}

/// A cage becomes a double one, whose slots are divided; what is drawn keeps its file.
void change_kind(TomlNode& root, Dice& dice) {
  TomlNode& rotor = entry(root, "rotor");
  if (type_of(rotor, "type", "") == "cage") {
    entry(rotor, "type") = text_node("double-cage");
    if (dice.chance(0.5)) entry(rotor, "rings") = text_node("separate");
  }
  for (const char* side : {"stator", "rotor"})
    if (const TomlNode* file = find(entry(root, side), "file"); file != nullptr && file->text() != nullptr)
      entry(entry(root, side), "file") = text_node(std::string(SOURCE_DIR) + "/cases/machines/" + *file->text());
}

}  // namespace

RandomMachine random_machine(std::uint64_t number) {
  Dice dice{std::mt19937_64(number * 0x9e3779b97f4a7c15u + 1)};
  const Mood mood{dice.of(std::vector<double>{0.05, 0.15, 0.5}), dice.of(std::vector<double>{0.05, 0.2, 0.6})};
  const bool later = number >= kLaterKinds;
  const std::string base = dice.of(bases_of(number)),
                    file = std::string(SOURCE_DIR) + "/cases/machines/" + base + ".toml";
  TomlNode root = parse_toml(read_text_file(file), file);
  drop(root, {"study", "sweep", "optimise", "output", "mesh", "limits"});
  if (later) change_kind(root, dice);
  const double bore = gap_diameter(entry(root, "stator"));
  change_table(entry(root, "machine"), parameters_of("machine"), dice, mood);
  if (find(root, "winding") != nullptr) change_table(entry(root, "winding"), parameters_of("winding"), dice, mood);
  change_side(root, "stator", bore, dice, mood);
  change_side(root, "rotor", bore, dice, mood);
  if (find(entry(root, "rotor"), "winding") != nullptr)
    change_table(entry(entry(root, "rotor"), "winding"), parameters_of("winding"), dice, mood);
  TomlNode mesh{TomlNode::Table{}, {}};
  // Mostly the first mesh as it is, which is quick; adapted meshes now and then.
  entry(mesh, "adaptive").data = dice.chance(0.04);
  entry(mesh, "accuracy").data = 0.02;
  entry(mesh, "density").data = 0.25;
  entry(root, "mesh") = mesh;
  TomlNode output{TomlNode::Table{}, {}};
  entry(output, "pictures").data = false;
  entry(output, "field_angles").data = std::int64_t{0};
  entry(root, "output") = output;
  entry(root, "study").data = TomlNode::Array{drawn_study(root, dice)};

  RandomMachine machine;
  const auto slot_of = [&](const std::string& side) {
    const TomlNode* slot = find(entry(root, side), "slot");
    return slot == nullptr ? "" : type_of(*slot, "shape", "");
  };
  machine.rotor = type_of(entry(root, "rotor"), "type", "");
  machine.slot = slot_of("stator");
  machine.rotor_slot = slot_of("rotor");
  machine.text = fmt::format("# random machine {}, from {}\n", number, base) + table_text(root, "");
  return machine;
}

}  // namespace polepitch
