#include "cases/optimise_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/units.h"
#include "post/quantity_list.h"

namespace polepitch {
namespace {

/// "torque-angle.torque_max#2" → its study ("" where none is named) and "torque_max".
std::pair<std::string, std::string> split_label(const std::string& label) {
  const std::string bare = label.substr(0, label.find('#'));
  const auto dot = bare.find('.');
  if (dot == std::string::npos) return {"", bare};
  return {bare.substr(0, dot), bare.substr(dot + 1)};
}

/// Told where a name is no quantity, or its study not in this file.
bool is_quantity(const TomlNode& root, const std::string& label, const Place& place, Diagnostics& faults) {
  const auto [study, name] = split_label(label);
  std::vector<std::string> names;
  for (const QuantityDefinition& q : quantity_list()) names.push_back(q.name);
  if (std::find(names.begin(), names.end(), name) == names.end()) {
    std::string hint = nearest_name(name, names);
    hint = hint.empty() ? "`polepitch list quantities` names them" : "did you mean \"" + hint + "\"?";
    faults.push_back({place, fmt::format("quantity = \"{}\" is no quantity", label), hint});
    return false;
  }
  std::vector<std::string> studies = study_names(root);
  studies.insert(studies.end(), {"description", "mesh"});
  if (study.empty() || std::find(studies.begin(), studies.end(), study) != studies.end()) return true;
  faults.push_back({place, fmt::format("there is no study \"{}\" in this file", study), suggestion(study, studies)});
  return false;
}

/// "35 N m" or 35: in the quantity's unit. Every kind that has both units is tried.
std::optional<double> read_limit(const std::string& key, const TomlNode& node, const std::string& unit,
                                 Diagnostics& faults) {
  if (node.integer() != nullptr) return static_cast<double>(*node.integer());
  if (node.floating() != nullptr && std::isfinite(*node.floating())) return *node.floating();
  double number = 0;
  std::string given;
  if (node.text() != nullptr && split_quantity(*node.text(), number, given)) {
    if (given == unit) return number;
    for (int kind = static_cast<int>(Kind::length); kind <= static_cast<int>(Kind::temperature_coefficient); ++kind)
      try {
        return from_si(static_cast<Kind>(kind), to_si(static_cast<Kind>(kind), number, given), unit);
      } catch (const InputError&) {
        continue;
      }
  }
  faults.push_back({node.place, fmt::format("{} = {} is no limit for this quantity", key, shown(node)),
                    unit.empty()
                        ? "it is a pure number"
                        : fmt::format("a number in {}, or a text with a unit that fits: \"1.5 {}\"", unit, unit)});
  return std::nullopt;
}

/// The entries of [[optimise.NAME]]; a fault where it is no list, or empty though it is `needed`.
const TomlNode::Array& entries(const TomlNode& node, const std::string& name, const std::string& needed,
                               Diagnostics& faults) {
  static const TomlNode::Array none;
  const TomlNode* list = find(node, name);
  if (list != nullptr && list->array() != nullptr && !list->array()->empty()) return *list->array();
  if (list != nullptr || !needed.empty())
    faults.push_back({list == nullptr ? node.place : list->place, "[optimise] has no " + name,
                      needed.empty() ? "write [[optimise." + name + "]] with two pairs of brackets" : needed});
  return none;
}

/// Decimals that tell 1e-4 of a range apart.
int decimals(double range) {
  return std::clamp(static_cast<int>(4 - std::floor(std::log10(range))), 0, 12);
}

const TomlNode* node_at(const TomlNode& root, const CasePath& path) {
  const TomlNode* node = &root;
  for (const std::string& word : path.tables) {
    node = node->array() != nullptr ? &(*node->array())[std::stoul(word)] : find(*node, word);
    if (node == nullptr) return nullptr;
  }
  return find(*node, path.declared.name);
}

/// A value of this key as a number in `unit`.
std::optional<double> number_in(const OptimiseVariable& v, const TomlNode& node, Diagnostics& faults) {
  const std::optional<Value> value = read_value(v.at.declared, v.at.path, node, faults);
  if (!value) return std::nullopt;
  double written = 0;
  std::string unit;
  if (node.text() != nullptr && split_quantity(*node.text(), written, unit) && unit == v.unit) return written;
  return from_si(v.at.declared.kind, std::get<double>(value->data), v.unit);
}

/// A variable with a list of values in place of bounds.
std::optional<OptimiseVariable> read_choices(OptimiseVariable v, const TomlNode& node, const TomlNode* start,
                                             Diagnostics& faults) {
  const TomlNode& values = *find(node, "values");
  const auto refuse = [&](const std::string& what, const std::string& hint) {
    faults.push_back({values.place, v.at.path + what, hint});
    return std::nullopt;
  };
  if (values.array() == nullptr || values.array()->size() < 2 || values.array()->size() > 100)
    return refuse(" needs 2 to 100 values", "values = [\"36 mm\", \"40 mm\"]");
  if (find(node, "from") != nullptr || find(node, "to") != nullptr)
    return refuse(" has both values and bounds", "either values, or from and to");
  if (start == nullptr) return refuse(" does not stand in this file", "write the key with the value to start from");
  v.place = start->place;
  v.start = -1;
  for (const TomlNode& value : *values.array()) {
    if (!read_value(v.at.declared, v.at.path, value, faults)) return std::nullopt;
    if (shown(value) == shown(*start)) v.start = static_cast<double>(v.choices.size());
    v.choices.push_back(value);
  }
  if (v.start < 0)
    return refuse(fmt::format(": the file's own {} is not among the values", shown(*start)), "the search starts there");
  v.to = static_cast<double>(v.choices.size() - 1);
  return v;
}

std::optional<OptimiseVariable> read_variable(const TomlNode& root, const TomlNode& node, const std::string& path,
                                              Diagnostics& faults) {
  const Block keys = read_block(path, &node, optimise_variable_parameters(), {"from", "to", "values"}, faults);
  const TomlNode* where = find(node, "path");
  if (where == nullptr || !keys.values.has("path")) return std::nullopt;
  const std::optional<CasePath> at = find_case_path(root, *where, faults);
  if (!at) return std::nullopt;
  OptimiseVariable v;
  v.at = *at;
  const TomlNode *from = find(node, "from"), *to = find(node, "to"), *start = node_at(root, *at);
  const auto refuse = [&](const std::string& what, const std::string& hint) {
    faults.push_back({node.place, v.at.path + what, hint});
    return std::nullopt;
  };
  if (find(node, "values") != nullptr) return read_choices(std::move(v), node, start, faults);
  if (v.at.declared.form != Form::quantity)
    return refuse(" is no quantity that can take every value between two bounds",
                  "list what it may be: values = [ … ]");
  if (from == nullptr || to == nullptr) return refuse(" needs from and to", "from = \"2 mm\" and to = \"6 mm\"");
  if (start == nullptr) return refuse(" does not stand in this file", "write the key with the value to start from");
  double number = 0;
  if (from->text() != nullptr) split_quantity(*from->text(), number, v.unit);
  const std::optional<double> low = number_in(v, *from, faults), high = number_in(v, *to, faults);
  Diagnostics told_by_reader;
  const std::optional<double> begin = number_in(v, *start, told_by_reader);
  if (!low || !high || !begin) return std::nullopt;
  if (*low >= *high)
    return refuse(fmt::format(": from = {} is not below to = {}", shown(*from), shown(*to)),
                  "put the lower bound first");
  v.from = *low;
  v.to = *high;
  v.digits = decimals(v.to - v.from);
  v.start = std::clamp(*begin, v.from, v.to);
  v.place = start->place;
  return v;
}

void read_variables(const TomlNode& root, const TomlNode& node, OptimisePlan& plan, Diagnostics& faults) {
  const TomlNode::Array& list = entries(node, "variable", "write [[optimise.variable]] with path, from and to", faults);
  for (std::size_t i = 0; i < list.size(); ++i)
    if (auto v = read_variable(root, list[i], fmt::format("optimise.variable {}", i + 1), faults)) {
      for (const OptimiseVariable& other : plan.variables)
        if (other.at.path == v->at.path)
          faults.push_back({list[i].place, other.at.path + " stands twice", "give it one pair of bounds"});
      plan.variables.push_back(std::move(*v));
    }
}

void read_objectives(const TomlNode& root, const TomlNode& node, OptimisePlan& plan, Diagnostics& faults) {
  const TomlNode::Array& list =
      entries(node, "objective", "write [[optimise.objective]] with a quantity and its sense", faults);
  if (list.size() > 3)
    faults.push_back(
        {list[3].place, "there are more than three objectives", "make limits of some: [[optimise.constraint]]"});
  for (std::size_t i = 0; i < list.size(); ++i) {
    const Block keys =
        read_block(fmt::format("optimise.objective {}", i + 1), &list[i], optimise_objective_parameters(), {}, faults);
    if (!keys.values.has("quantity") || !keys.values.has("sense")) continue;
    const Place place = keys.values.place("quantity");
    if (is_quantity(root, keys.values.text("quantity"), place, faults))
      plan.objectives.push_back({keys.values.text("quantity"), keys.values.text("sense") == "most", place});
  }
}

void read_constraints(const TomlNode& root, const TomlNode& node, OptimisePlan& plan, Diagnostics& faults) {
  const TomlNode::Array& list = entries(node, "constraint", "", faults);
  for (std::size_t i = 0; i < list.size(); ++i) {
    const Block keys = read_block(fmt::format("optimise.constraint {}", i + 1), &list[i],
                                  optimise_constraint_parameters(), {"at_least", "at_most"}, faults);
    if (!keys.values.has("quantity")) continue;
    const std::string name = keys.values.text("quantity");
    const Place place = keys.values.place("quantity");
    if (!is_quantity(root, name, place, faults)) continue;
    const std::string unit = quantity_definition(split_label(name).second).unit;
    bool any = false;
    for (const char* key : {"at_least", "at_most"})
      if (const TomlNode* limit = find(list[i], key)) {
        any = true;
        if (const auto value = read_limit(key, *limit, unit, faults))
          plan.constraints.push_back({name, std::string(key) == "at_least", *value, limit->place});
      }
    if (!any) faults.push_back({list[i].place, name + " has no limit", "write at_least, at_most or both"});
  }
}

}  // namespace

const std::vector<Parameter>& optimise_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "global_points",
       .form = Form::integer,
       .lower = 0,
       .upper = 1e5,
       .fallback = "40",
       .sentence =
           "Most designs of the search through the whole box, once for each objective; 0: only the descent from "
           "the file's own values."},
      {.name = "local_points",
       .form = Form::integer,
       .lower = 0,
       .upper = 1e5,
       .fallback = "40",
       .sentence = "Most designs of a descent from the best design known."},
      {.name = "front_points",
       .form = Form::integer,
       .lower = 2,
       .upper = 200,
       .fallback = "7",
       .sentence = "Points of the Pareto front of several objectives, its ends included; with three objectives, its "
                   "square."},
      {.name = "tolerance",
       .lower = 0,
       .upper = 0.1,
       .fallback = "0.001",
       .sentence = "Share of a limit by which a constraint may be missed and still count as met."},
      mesh_reuse_parameter(),
  };
  return table;
}

const std::vector<Parameter>& optimise_variable_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "path",
       .form = Form::text,
       .sentence = "A key of this file that holds a number or a number with its unit, with its tables: "
                   "\"rotor.magnet_thickness\". Beside it stand its bounds, `from` and `to`; or, for any key with a "
                   "single value, "
                   "`values`, a list of what it may be. The search starts from the value that the file has."},
  };
  return table;
}

const std::vector<Parameter>& optimise_objective_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "quantity",
       .form = Form::text,
       .sentence =
           "What is to be made least or most: \"mass_magnets\", or with its study \"torque-angle.torque_max\"."},
      {.name = "sense",
       .form = Form::choice,
       .fallback = "least",
       .choices = {"least", "most"},
       .sentence = "Which way."},
  };
  return table;
}

const std::vector<Parameter>& optimise_constraint_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "quantity",
       .form = Form::text,
       .sentence =
           "What has to be kept. Beside it stand `at_least`, `at_most` or both: numbers in the quantity's unit, "
           "or texts with a unit that fits."},
  };
  return table;
}

OptimisePlan read_optimise_plan(const TomlNode& root, Diagnostics& faults) {
  OptimisePlan plan;
  const TomlNode* node = find(root, "optimise");
  if (node == nullptr) return plan;
  const Block keys =
      read_block("optimise", node, optimise_parameters(), {"variable", "objective", "constraint"}, faults);
  if (node->table() == nullptr) return plan;
  plan.present = true;
  const auto integer = [&](const char* key) { return keys.values.has(key) ? keys.values.integer(key) : 0; };
  plan.global_points = integer("global_points");
  plan.local_points = integer("local_points");
  plan.front_points = integer("front_points");
  if (keys.values.has("tolerance")) plan.tolerance = keys.values.number("tolerance");
  read_variables(root, *node, plan, faults);
  read_objectives(root, *node, plan, faults);
  read_constraints(root, *node, plan, faults);
  plan.moved = keys.values.has("mesh") && keys.values.text("mesh") == "moved";
  for (const OptimiseVariable& v : plan.variables) plan.moved = plan.moved && v.at.tables.front() != "mesh";
  return plan;
}

double value_at(const OptimiseVariable& v, double share) {
  if (!v.choices.empty())
    return std::min(v.to, std::floor(std::clamp(share, 0.0, 1.0) * static_cast<double>(v.choices.size())));
  const double value = v.from + std::clamp(share, 0.0, 1.0) * (v.to - v.from);
  // The nearest number with so many decimals, as reading its text gives it; bounds and start stay as they are written.
  const double rounded = std::stod(fmt::format("{:.{}f}", value, v.digits));
  for (const double written : {v.from, v.to, v.start})
    if (std::abs(rounded - written) < 0.5 * std::pow(10.0, -v.digits)) return written;
  return std::clamp(rounded, v.from, v.to);
}

double share_of(const OptimiseVariable& v, double value) {
  if (!v.choices.empty()) return (value + 0.5) / static_cast<double>(v.choices.size());
  return (value - v.from) / (v.to - v.from);
}

TomlNode value_node(const OptimiseVariable& v, double value) {
  if (!v.choices.empty()) {
    TomlNode node = v.choices[static_cast<std::size_t>(value)];
    node.place = v.place;
    return node;
  }
  return value_node(v.at.declared, value, v.unit, v.place);
}

std::string value_words(const OptimiseVariable& v, double value) {
  if (v.choices.empty()) return fmt::format("{:.6g}", value);
  const TomlNode& choice = v.choices[static_cast<std::size_t>(value)];
  return choice.text() != nullptr ? *choice.text() : shown(choice);
}

bool is_asked(const std::string& wanted, const std::string& label) {
  const std::string bare = label.substr(0, label.find('#'));
  return wanted == label || wanted == bare || wanted == bare.substr(bare.find('.') + 1);
}

}  // namespace polepitch
