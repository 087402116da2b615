#include "post/report_charts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

using nlohmann::json;

/// Six digits are more than a chart shows, and keep the page small.
json short_values(const std::vector<double>& values) {
  json list = json::array();
  for (double v : values) {
    if (std::isfinite(v))
      list.push_back(std::stod(fmt::format("{:.6g}", v)));
    else
      list.push_back(nullptr);
  }
  return list;
}

std::string words_of(const Column& x, const Column& y) {
  std::vector<std::pair<double, double>> points;  // value, abscissa
  for (size_t i = 0; i < y.values.size(); ++i)
    if (std::isfinite(y.values[i])) points.emplace_back(y.values[i], x.values[i]);
  if (points.empty()) return y.name + ": no values. ";
  const auto [least, most] = std::minmax_element(points.begin(), points.end());
  return fmt::format("{}: from {:.4g} to {:.4g} {}, least {:.4g} at {:.4g} {}, largest {:.4g} at {:.4g} {}. ", y.name,
                     points.front().first, points.back().first, y.unit, least->first, least->second, x.unit,
                     most->first, most->second, x.unit);
}

std::string hex(const Colour& c) {
  const auto part = [](double v) { return static_cast<int>(std::lround(255 * std::clamp(v, 0.0, 1.0))); };
  return fmt::format("#{:02x}{:02x}{:02x}", part(c.red), part(c.green), part(c.blue));
}

}  // namespace

bool is_chart(const ResultCurve& curve) {
  if (curve.spectrum || curve.columns.size() < 2 || curve.columns[0].values.size() < 2) return false;
  const std::vector<double>& x = curve.columns[0].values;
  for (size_t i = 1; i < x.size(); ++i)
    if (!(x[i] > x[i - 1])) return false;
  return std::any_of(curve.columns.begin() + 1, curve.columns.end(), [](const Column& c) { return c.drawn; });
}

std::string chart_json(const ResultCurve& curve, bool joined) {
  const Column& x = curve.columns.front();
  json panels = json::array();
  std::map<std::string, std::vector<double>> all;  // by unit
  std::string words;
  for (size_t c = 1; c < curve.columns.size(); ++c) {
    const Column& y = curve.columns[c];
    if (!y.drawn) continue;
    auto panel = std::find_if(panels.begin(), panels.end(), [&](const json& p) { return p["unit"] == y.unit; });
    if (panel == panels.end()) {
      panels.push_back({{"unit", y.unit}, {"log", false}, {"lines", json::array()}});
      panel = panels.end() - 1;
    }
    all[y.unit].insert(all[y.unit].end(), y.values.begin(), y.values.end());
    (*panel)["log"] = spans_decades(x.values) && spans_decades(all[y.unit]);
    (*panel)["lines"].push_back({{"name", y.name},
                                 {"error", y.error ? json(std::stod(fmt::format("{:.1e}", *y.error))) : json(nullptr)},
                                 {"values", short_values(y.values)}});
    words += words_of(x, y);
  }
  return json{
      {"id", curve.study + "_" + curve.name},
      {"study", curve.study},
      {"title", curve.title},
      {"words", words},
      {"joined", joined},
      {"x", {{"name", x.name}, {"unit", x.unit}, {"log", spans_decades(x.values)}, {"values", short_values(x.values)}}},
      {"panels", panels}}
      .dump();
}

std::string pens_json() {
  json light = json::array(), dark = json::array();
  for (int k = 0; k < 6; ++k) {
    for (const auto& [list, pen] : {std::pair{&light, line_pen(k)}, {&dark, line_pen_on_dark(k)}})
      list->push_back({{"colour", hex(pen.colour)}, {"dash", pen.dash}});
  }
  json ramp = json::array();  // of the bands of |B|, as in the pictures
  for (int k = 0; k <= 24; ++k) ramp.push_back(hex(sequential(k / 24.0)));
  return json{{"light", light}, {"dark", dark}, {"ramp", ramp}}.dump();
}

}  // namespace polepitch
