// What the points of a sweep look like: curves, contours and main effects.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "cases/variation_run.h"
#include "post/figure_curve.h"
#include "post/figure_effects.h"
#include "post/figure_map.h"

namespace polepitch {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kBins = 5;  // of a parameter that a hypercube covers

void write_both(const Canvas& canvas, const std::string& path) {
  write_picture(canvas, path + ".png");
  write_picture(canvas, path + ".svg");
}

/// The number of a level; texts and flags stand by their place in the list, which the axis names.
double level(const SweptParameter& p, const TomlNode& value) {
  if (p.is_number()) return value_number(p, value);
  for (std::size_t i = 0; i < p.values.size(); ++i)
    if (shown(p.values[i]) == shown(value)) return static_cast<double>(i + 1);
  return kNone;
}

std::string axis_name(const SweptParameter& p) {
  std::string name = p.at.path;
  for (std::size_t i = 0; !p.is_number() && i < p.values.size(); ++i)
    name += fmt::format("{}{} = {}", i == 0 ? " (" : ", ", i + 1, shown(p.values[i]));
  return p.is_number() ? name : name + ")";
}

std::string file_name(std::string label) {
  std::replace_if(
      label.begin(), label.end(), [](char c) { return c == '.' || c == '#' || c == '/'; }, '_');
  return "sweep_" + label;
}

struct Drawn {
  const SweepReport& report;
  std::string label, unit;
  std::vector<double> z;  // of every point
};

std::string title_of(const Drawn& d) {
  return d.label + " over the sweep";
}

ResultCurve curve_of(const Drawn& d) {
  const SweptParameter& p = d.report.plan.parameters.front();
  std::map<double, double> sorted;
  for (std::size_t i = 0; i < d.z.size(); ++i) sorted[level(p, d.report.points[i].values[0])] = d.z[i];
  ResultCurve curve{.study = "sweep", .name = d.label, .title = d.label + " over " + p.at.path, .columns = {}};
  curve.columns = {{axis_name(p), p.unit, {}}, {d.label, d.unit, {}}};
  for (const auto& [x, y] : sorted) {
    curve.columns[0].values.push_back(x);
    curve.columns[1].values.push_back(y);
  }
  return curve;
}

std::vector<double> levels_of(const Drawn& d, std::size_t k) {
  std::vector<double> levels;
  for (const SweepPoint& point : d.report.points) levels.push_back(level(d.report.plan.parameters[k], point.values[k]));
  std::sort(levels.begin(), levels.end());
  levels.erase(std::unique(levels.begin(), levels.end()), levels.end());
  return levels;
}

ContourMap map_of(const Drawn& d) {
  const auto& p = d.report.plan.parameters;
  ContourMap map{"sweep",   d.label,         title_of(d),     axis_name(p[0]),
                 p[0].unit, axis_name(p[1]), p[1].unit,       d.label.substr(d.label.find('.') + 1),
                 d.unit,    levels_of(d, 0), levels_of(d, 1), {}};
  map.z.assign(map.x.size() * map.y.size(), kNone);
  for (std::size_t n = 0; n < d.z.size(); ++n) {
    const auto& values = d.report.points[n].values;
    const auto place = [](const std::vector<double>& axis, double v) {
      return static_cast<std::size_t>(std::lower_bound(axis.begin(), axis.end(), v) - axis.begin());
    };
    map.z[map.at(place(map.x, level(p[0], values[0])), place(map.y, level(p[1], values[1])))] = d.z[n];
  }
  return map;
}

/// Means at the levels, or in bins of equal number where nearly every point has a level of its own.
Effect effect_of(const Drawn& d, std::size_t k) {
  const SweptParameter& p = d.report.plan.parameters[k];
  std::vector<std::pair<double, double>> points;
  for (std::size_t i = 0; i < d.z.size(); ++i)
    if (std::isfinite(d.z[i])) points.emplace_back(level(p, d.report.points[i].values[k]), d.z[i]);
  std::sort(points.begin(), points.end());
  const bool drawn = p.values.empty();
  Effect effect{axis_name(p), p.unit, {}, {}};
  for (std::size_t begin = 0; begin < points.size();) {
    std::size_t end = begin + 1;
    if (drawn)
      end = std::max(end, (effect.levels.size() + 1) * points.size() / kBins);
    else
      while (end < points.size() && points[end].first == points[begin].first) ++end;
    double x = 0, y = 0;
    for (std::size_t i = begin; i < end; ++i) x += points[i].first, y += points[i].second;
    effect.levels.push_back(drawn ? x / static_cast<double>(end - begin) : points[begin].first);
    effect.means.push_back(y / static_cast<double>(end - begin));
    begin = end;
  }
  return effect;
}

void draw_effects(const Drawn& d, const std::string& path) {
  std::vector<Effect> effects;
  for (std::size_t k = 0; k < d.report.plan.parameters.size(); ++k) effects.push_back(effect_of(d, k));
  double sum = 0, count = 0;
  for (const double z : d.z)
    if (std::isfinite(z)) sum += z, ++count;
  write_both(
      draw_effects_figure(effects, sum / count, d.label, d.unit, d.report.title + ": main effects on " + d.label),
      path);
}

}  // namespace

void draw_sweep(const SweepReport& report, const std::string& directory) {
  const auto& parameters = report.plan.parameters;
  for (const std::string& label : recorded_labels(report)) {
    Drawn d{report, label, "", {}};
    for (const SweepPoint& point : report.points) d.z.push_back(recorded_value(point, label, &d.unit));
    if (std::none_of(d.z.begin(), d.z.end(), [](double z) { return std::isfinite(z); })) continue;
    const std::string path = directory + "/" + file_name(label);
    if (parameters.size() == 1 || report.plan.method == "list") {
      write_both(draw_curve_figure(curve_of(d), report.title), path);
      continue;
    }
    if (parameters.size() == 2 && report.plan.method == "grid" && levels_of(d, 0).size() > 1 &&
        levels_of(d, 1).size() > 1)
      write_both(draw_map_figure(map_of(d), report.title), path);
    draw_effects(d, path + "_effects");
  }
}

}  // namespace polepitch
