// The points of a sweep's store as quantities and curves, to be compared like those of runs.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "cases/compare.h"
#include "cases/optimise_plan.h"
#include "cases/variation_store.h"
#include "geometry/units.h"
#include "post/quantity_list.h"

namespace polepitch {
namespace {

using Json = nlohmann::json;

/// A key that varies over the points; `unit` as the values are written.
struct Axis {
  std::string path, unit;
  bool numbers = true;
};

struct Point {
  Json parameters, quantities;
};

std::string words(const Json& value) {
  return value.is_string() ? value.get<std::string>() : value.dump();
}

/// The number of a value as it stands in the file; its unit goes to `unit`.
std::optional<double> number(const Json& value, std::string& unit) {
  unit.clear();
  if (value.is_number()) return value.get<double>();
  double written = 0;
  if (value.is_string() && split_quantity(value.get<std::string>(), written, unit)) return written;
  return std::nullopt;
}

std::vector<Axis> axes_of(const std::vector<Point>& points) {
  std::vector<Axis> axes;
  for (const auto& [path, value] : points.front().parameters.items()) {
    Axis axis{path, "", true};
    number(value, axis.unit);
    std::set<std::string> values;
    for (const Point& point : points) {
      std::string unit;
      values.insert(words(point.parameters.at(path)));
      axis.numbers = axis.numbers && number(point.parameters.at(path), unit) && unit == axis.unit;
    }
    if (values.size() > 1) axes.push_back(std::move(axis));
  }
  return axes;
}

/// "opening_width = 2 mm, magnet_arc = 0.8"
std::string place_of(const std::vector<Axis>& axes, const Point& point) {
  std::string text;
  for (const Axis& axis : axes)
    text += (text.empty() ? "" : ", ") + axis.path.substr(axis.path.rfind('.') + 1) + " = " +
            words(point.parameters.at(axis.path));
  return text;
}

/// "reactances.X_l#2" → X_l
std::string bare_name(const std::string& label) {
  return label.substr(label.find('.') + 1, label.find('#') - label.find('.') - 1);
}

void add_quantities(const std::vector<Axis>& axes, const std::vector<Point>& points, const std::string& label,
                    Results& results) {
  for (const Point& point : points) {
    if (!point.quantities.contains(label)) continue;
    const Json& entry = point.quantities.at(label);
    Quantity q;
    q.study = "sweep: " + label;
    q.name = place_of(axes, point);
    q.unit = entry.at("unit");
    q.value = entry.at("value");
    if (!entry.at("error").is_null()) q.error = entry.at("error").get<double>();
    q.key_result = true;
    q.definition = quantity_definition(bare_name(label)).definition;
    results.quantities.push_back(std::move(q));
  }
}

/// Over the one parameter that varies; of two, over the first with a line for each value of the second.
void add_curve(const std::vector<Axis>& axes, const std::vector<Point>& points, const std::string& label,
               Results& results) {
  if (axes.empty() || axes.size() > 2 || !axes[0].numbers) return;
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  std::map<std::string, std::map<double, double>> lines;
  std::set<double> all;
  std::string unit, unused;
  for (const Point& point : points) {
    if (!point.quantities.contains(label)) continue;
    const double x = *number(point.parameters.at(axes[0].path), unused);
    unit = point.quantities.at(label).at("unit");
    all.insert(x);
    lines[axes.size() == 1 ? bare_name(label) : bare_name(label) + ", " + place_of({axes[1]}, point)][x] =
        point.quantities.at(label).at("value");
  }
  ResultCurve curve{.study = "sweep", .name = label, .title = label + " over " + axes[0].path, .columns = {}};
  std::replace_if(
      curve.name.begin(), curve.name.end(), [](char c) { return c == '.' || c == '#'; }, '_');
  curve.columns.push_back({axes[0].path, axes[0].unit, {all.begin(), all.end()}});
  for (const auto& [name, line] : lines) {
    Column column{name, unit, {}};
    for (const double x : all) column.values.push_back(line.contains(x) ? line.at(x) : kNone);
    curve.columns.push_back(std::move(column));
  }
  results.curves.push_back(std::move(curve));
}

/// What the sweep asks for, or what its studies give as key results.
bool is_shown(const StoreContent& content, const std::string& label, const Json& entry) {
  if (content.quantities.empty())
    return entry.at("key").get<bool>() && !label.starts_with("description.") && !label.starts_with("mesh.");
  return std::any_of(content.quantities.begin(), content.quantities.end(),
                     [&](const std::string& wanted) { return is_asked(wanted, label); });
}

}  // namespace

void add_sweep(const std::string& store, RunRecord& run) {
  const StoreContent content = read_store(store);
  if (run.case_name.empty()) run.case_name = content.case_name, run.program_version = content.program_version;
  std::vector<Point> points;
  std::size_t failed = 0, open = 0;
  for (const std::optional<PointRow>& row : content.points) {
    open += row ? 0 : 1;
    failed += row && row->exit_code != 0 ? 1 : 0;
    if (row) points.push_back({Json::parse(row->parameters), Json::parse(row->quantities)});
  }
  if (failed + open > 0)
    run.results.warnings.push_back(fmt::format("of {} points of the sweep {} failed and {} are not solved yet",
                                               content.points.size(), failed, open));
  if (points.empty()) return;
  const std::vector<Axis> axes = axes_of(points);
  std::set<std::string> labels;
  for (const Point& point : points)
    for (const auto& [label, entry] : point.quantities.items())
      if (is_shown(content, label, entry)) labels.insert(label);
  for (const std::string& label : labels) {
    add_quantities(axes, points, label, run.results);
    add_curve(axes, points, label, run.results);
  }
}

}  // namespace polepitch
