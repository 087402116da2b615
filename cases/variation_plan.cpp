#include "cases/variation_plan.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <numeric>
#include <random>

#include "cases/case_tables.h"
#include "geometry/units.h"

namespace polepitch {
namespace {

constexpr std::size_t kMostPoints = 1'000'000;

struct Ends {
  const TomlNode *from, *to, *count, *values;
};

/// The unit of the first value as the user wrote it.
std::string unit_of(const Parameter& declared, const TomlNode& value) {
  double number = 0;
  std::string unit;
  const bool dimensional = declared.form == Form::quantity && declared.kind != Kind::number;
  return dimensional && value.text() != nullptr && split_quantity(*value.text(), number, unit) ? unit : "";
}

bool fits(const Parameter& declared, const std::string& path, const TomlNode& node, Diagnostics& faults) {
  return read_value(declared, path, node, faults).has_value();
}

void read_values(SweptParameter& p, const TomlNode& values, Diagnostics& faults) {
  if (values.array() == nullptr || values.array()->empty()) {
    faults.push_back({values.place, "values is " + describe(values) + ", a list with an entry or more is needed",
                      "values = [\"2 mm\", \"3 mm\"]"});
    return;
  }
  for (const TomlNode& value : *values.array())
    if (fits(p.at.declared, p.at.path, value, faults)) p.values.push_back(value);
  if (!p.values.empty()) p.unit = unit_of(p.at.declared, p.values.front());
}

void read_ends(SweptParameter& p, const Ends& ends, const std::string& method, const Place& place,
               Diagnostics& faults) {
  if (!p.is_number()) {
    faults.push_back({place, p.at.path + " is no number: it cannot run from one end to another", "list its values"});
    return;
  }
  const bool good = fits(p.at.declared, p.at.path, *ends.from, faults);
  if (!fits(p.at.declared, p.at.path, *ends.to, faults) || !good) return;
  p.unit = unit_of(p.at.declared, *ends.from);
  p.from = value_number(p, *ends.from);
  p.to = value_number(p, *ends.to);
  if (method == "latin-hypercube") return;
  const std::int64_t count = ends.count == nullptr || ends.count->integer() == nullptr ? 0 : *ends.count->integer();
  if (count < 2 || count > 10000) {
    faults.push_back({ends.count == nullptr ? place : ends.count->place,
                      p.at.path + ": from and to need a count, a whole number", "allowed: 2 to 10000"});
    return;
  }
  for (std::int64_t i = 0; i < count; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(count - 1);
    // Twelve digits: 2.18, not 2.1799999999999997.
    const double number = std::stod(fmt::format("{:.12g}", p.from + share * (p.to - p.from)));
    p.values.push_back(value_node(p.at.declared, number, p.unit, ends.from->place));
  }
}

std::optional<SweptParameter> read_swept(const TomlNode& root, const TomlNode& node, const std::string& path,
                                         const std::string& method, Diagnostics& faults) {
  const Block keys = read_block(path, &node, swept_parameter_parameters(), {"from", "to", "count", "values"}, faults);
  const TomlNode* where = find(node, "path");
  if (where == nullptr || !keys.values.has("path")) return std::nullopt;
  std::optional<CasePath> at = find_case_path(root, *where, faults);
  if (!at) return std::nullopt;
  SweptParameter swept;
  swept.at = std::move(*at);
  const Ends ends{find(node, "from"), find(node, "to"), find(node, "count"), find(node, "values")};
  const bool listed = ends.values != nullptr, between = ends.from != nullptr && ends.to != nullptr;
  if (listed == between || (listed && (ends.from != nullptr || ends.to != nullptr)))
    faults.push_back({node.place, swept.at.path + " needs either values, or from and to",
                      "values = [\"2 mm\", \"3 mm\"], or from = \"2 mm\", to = \"4 mm\" and count = 5"});
  else if (listed)
    read_values(swept, *ends.values, faults);
  else
    read_ends(swept, ends, method, node.place, faults);
  return swept;
}

/// Points of a grid or a list; faults where the counts do not go together.
std::size_t count_points(const VariationPlan& plan, const Place& place, Diagnostics& faults) {
  std::size_t points = plan.parameters.empty() ? 0 : 1;
  for (const SweptParameter& p : plan.parameters) {
    const std::size_t first = plan.parameters.front().values.size();
    if (plan.method == "list" && p.values.size() != first)
      faults.push_back({place,
                        fmt::format("{} has {} values, {} has {}", p.at.path, p.values.size(),
                                    plan.parameters.front().at.path, first),
                        "with method = \"list\" the values of all parameters go together one by one"});
    points = plan.method == "list" ? first : points * std::max<std::size_t>(1, p.values.size());
    if (points > kMostPoints) {
      faults.push_back({place, "the sweep has more than a million points", "fewer values, or latin-hypercube"});
      return 0;
    }
  }
  return points;
}

/// 0 … 1, the same with every library: the standard fixes the generator, but not its distributions.
double unit_random(std::mt19937_64& random) {
  return static_cast<double>(random() >> 11) * 0x1p-53;
}

TomlNode drawn_value(const SweptParameter& p, double share) {
  if (!p.values.empty())
    return p
        .values[std::min(p.values.size() - 1, static_cast<std::size_t>(share * static_cast<double>(p.values.size())))];
  return value_node(p.at.declared, p.from + share * (p.to - p.from), p.unit, {});
}

std::vector<std::vector<TomlNode>> hypercube(const VariationPlan& plan) {
  std::mt19937_64 random(static_cast<std::uint64_t>(plan.seed));
  std::vector<std::vector<TomlNode>> points(plan.points);
  for (const SweptParameter& p : plan.parameters) {
    std::vector<std::size_t> stratum(plan.points);
    std::iota(stratum.begin(), stratum.end(), 0);
    for (std::size_t i = plan.points; i-- > 1;) std::swap(stratum[i], stratum[random() % (i + 1)]);
    for (std::size_t i = 0; i < plan.points; ++i)
      points[i].push_back(
          drawn_value(p, (static_cast<double>(stratum[i]) + unit_random(random)) / static_cast<double>(plan.points)));
  }
  return points;
}

}  // namespace

const Parameter& mesh_reuse_parameter() {
  static const Parameter parameter = {
      .name = "mesh",
      .form = Form::choice,
      .fallback = "moved",
      .choices = {"moved", "new"},
      .sentence =
          "moved: a variation of the same topology takes the mesh of the file's own machine with its nodes moved, as "
          "long as that is accurate; new: each has a mesh made and adapted for it."};
  return parameter;
}

const std::vector<Parameter>& sweep_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "method",
       .form = Form::choice,
       .fallback = "grid",
       .choices = {"grid", "list", "latin-hypercube"},
       .sentence = "grid: every value with every other; list: the values of all parameters go together one by one; "
                   "latin-hypercube: points drawn so that each parameter is covered evenly."},
      {.name = "points",
       .form = Form::integer,
       .lower = 1,
       .upper = 1e6,
       .fallback = "20",
       .sentence = "Number of points of a latin-hypercube."},
      {.name = "seed",
       .form = Form::integer,
       .lower = 0,
       .upper = 1e9,
       .fallback = "1",
       .sentence = "Start of the random numbers of a latin-hypercube; the same seed gives the same points."},
      {.name = "quantities",
       .form = Form::text_list,
       .fallback = "[]",
       .sentence = "Quantities that are drawn and listed, \"torque_cogging\" or with the study \"reactances.X_l\"; "
                   "the store keeps all of a point; empty: the key results."},
      mesh_reuse_parameter(),
  };
  return table;
}

const std::vector<Parameter>& swept_parameter_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "path",
       .form = Form::text,
       .sentence = "The key of this file that varies, with its tables: \"stator.slot.opening_width\", or "
                   "\"study.torque-angle.phase_current\". Beside it stand either `values`, a list of values as they "
                   "would stand at that key, or `from`, `to` and (but for a latin-hypercube) `count`."},
  };
  return table;
}

TomlNode value_node(const Parameter& declared, double number, const std::string& unit, const Place& place) {
  TomlNode node;
  node.place = place;
  if (declared.form == Form::integer)
    node.data = static_cast<std::int64_t>(std::llround(number));
  else if (unit.empty())
    node.data = number;
  else
    node.data = fmt::format("{} {}", number, unit);
  return node;
}

double value_number(const SweptParameter& parameter, const TomlNode& value) {
  const Parameter& declared = parameter.at.declared;
  Diagnostics faults;
  const std::optional<Value> read = read_value(declared, parameter.at.path, value, faults);
  if (!read || !parameter.is_number()) return std::numeric_limits<double>::quiet_NaN();
  if (declared.form == Form::integer) return std::get<int>(read->data);
  double number = std::get<double>(read->data);
  std::string unit;
  if (parameter.unit.empty()) return number;
  // As the user wrote it where the unit is the same: 2.2, not 2.2000000000000002.
  double written = 0;
  if (split_quantity(*value.text(), written, unit) && unit == parameter.unit) return written;
  return from_si(declared.kind, number, parameter.unit);
}

VariationPlan read_variation_plan(const TomlNode& root, Diagnostics& faults) {
  VariationPlan plan;
  const TomlNode* node = find(root, "sweep");
  if (node == nullptr) return plan;
  const Block keys = read_block("sweep", node, sweep_parameters(), {"parameter"}, faults);
  if (node->table() == nullptr || !keys.values.has("method")) return plan;
  plan.present = true;
  plan.method = keys.values.text("method");
  if (keys.values.has("quantities")) plan.quantities = keys.values.texts("quantities");
  if (keys.values.has("seed")) plan.seed = keys.values.integer("seed");
  const TomlNode* list = find(*node, "parameter");
  if (list == nullptr || list->array() == nullptr || list->array()->empty()) {
    faults.push_back({list == nullptr ? node->place : list->place, "[sweep] has no parameter that varies",
                      "write [[sweep.parameter]] with path and values"});
    return plan;
  }
  const std::size_t before = faults.size();
  for (std::size_t i = 0; i < list->array()->size(); ++i)
    if (auto swept =
            read_swept(root, (*list->array())[i], fmt::format("sweep.parameter {}", i + 1), plan.method, faults)) {
      for (const SweptParameter& other : plan.parameters)
        if (other.at.path == swept->at.path)
          faults.push_back({(*list->array())[i].place, other.at.path + " varies twice", "put its values together"});
      plan.parameters.push_back(std::move(*swept));
    }
  if (faults.size() > before) return plan;
  plan.moved = keys.values.has("mesh") && keys.values.text("mesh") == "moved";
  for (const SweptParameter& p : plan.parameters) plan.moved = plan.moved && p.at.tables.front() != "mesh";
  if (plan.method == "latin-hypercube")
    plan.points = keys.values.has("points") ? static_cast<std::size_t>(keys.values.integer("points")) : 0;
  else
    plan.points = count_points(plan, node->place, faults);
  return plan;
}

std::vector<std::vector<TomlNode>> plan_points(const VariationPlan& plan) {
  if (plan.method == "latin-hypercube") return hypercube(plan);
  std::vector<std::vector<TomlNode>> points(plan.points);
  for (std::size_t i = 0; i < plan.points; ++i) {
    std::size_t rest = i, block = plan.points;
    for (const SweptParameter& p : plan.parameters) {
      block = plan.method == "list" ? 1 : block / p.values.size();
      points[i].push_back(p.values[plan.method == "list" ? i : rest / block]);
      rest %= block;
    }
  }
  return points;
}

}  // namespace polepitch
