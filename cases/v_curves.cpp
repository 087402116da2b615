#include "cases/v_curves.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/monotone_curve.h"

namespace polepitch {
namespace {

using Stroke = ConstructionLine::Kind;

/// Solves the curve's next point; false where there is none.
bool next_point(SteadyState& state, const Terminal& terminal, VCurve& curve, int pole_pairs) {
  VCurvePoint next;
  next.reactive = terminal.reactive;
  try {
    next.point = state.solve(terminal, curve.points.empty() ? nullptr : &curve.points.back().point);
  } catch (const ConvergenceError&) {
    return false;
  }
  if (next.point.field_current < 0) return false;
  next.synchronising = synchronising_torque(state, next.point, pole_pairs);
  curve.points.push_back(std::move(next));
  return curve.points.back().stable();
}

ConstructionLine line_of(const VCurve& curve, double current_per_va, double rated_active) {
  ConstructionLine line{
      fmt::format("{:.4g} kW ({:.3g} of rated)", 1e-3 * curve.power, curve.power / rated_active), {}, {}};
  std::vector<double> reactive, field;
  for (const VCurvePoint& p : curve.points) {
    reactive.push_back(p.reactive);
    field.push_back(p.point.field_current);
  }
  if (reactive.size() < 2) return {line.name, field, {current_per_va * std::hypot(curve.power, reactive[0])}};
  const MonotoneCurve between(reactive, field);
  const double end = stability_end(curve).reactive;
  constexpr int pieces = 10;  // between two points, so that the point of power factor 1 is one of them
  for (size_t i = 0; i + 1 < reactive.size(); ++i)
    for (int k = i == 0 ? 0 : 1; k <= pieces; ++k) {
      const double q = std::lerp(reactive[i], std::min(end, reactive[i + 1]), static_cast<double>(k) / pieces);
      line.x.push_back(between.at(q));
      line.y.push_back(current_per_va * std::hypot(curve.power, q));
    }
  return line;
}

}  // namespace

VCurve v_curve(SteadyState& state, const ChartRequest& request, double power, double largest, int count,
               int pole_pairs) {
  VCurve curve{power, {}};
  const double range = std::sqrt(std::max(0.0, largest * largest - power * power));
  Terminal t{.given = Terminal::Given::powers, .voltage = request.at.voltage, .power = request.sense() * power};
  for (int k = 0; k < count; ++k) {
    t.reactive = range * (2.0 * k / (count - 1) - 1);
    if (!next_point(state, t, curve, pole_pairs) && !curve.points.empty()) break;
  }
  if (request.at.largest_field_current)
    std::erase_if(curve.points,
                  [&](const VCurvePoint& p) { return p.point.field_current > *request.at.largest_field_current; });
  return curve;
}

StabilityEnd stability_end(const VCurve& curve) {
  const VCurvePoint& last = curve.points.back();
  if (curve.points.size() < 2 || last.stable()) return {last.reactive, last.point.field_current};
  const VCurvePoint& before = curve.points[curve.points.size() - 2];
  const double share = before.synchronising / (before.synchronising - last.synchronising);
  return {std::lerp(before.reactive, last.reactive, share),
          std::lerp(before.point.field_current, last.point.field_current, share)};
}

Construction v_curve_chart(const std::vector<VCurve>& curves, double current_per_va, double rated_active,
                           double rated_current) {
  Construction chart{.name = "chart", .title = "V-curves: armature current over field current at constant power"};
  chart.source = "constant terminal voltage and active power, solved on the field";
  chart.x_name = "field current", chart.x_unit = "A";
  chart.y_name = "armature current, r.m.s.", chart.y_unit = "A";
  ConstructionLine unity{"power factor 1", {}, {}, Stroke::help}, limit{"limit of stability", {}, {}, Stroke::help};
  double most = 0;
  for (const VCurve& curve : curves) {
    chart.lines.push_back(line_of(curve, current_per_va, rated_active));
    const ConstructionLine& line = chart.lines.back();
    most = std::max(most, line.x.front());
    for (const VCurvePoint& p : curve.points) {
      if (p.reactive != 0 || !p.stable()) continue;
      unity.x.push_back(p.point.field_current);
      unity.y.push_back(current_per_va * curve.power);
    }
    if (!curve.ends_unstable()) continue;
    limit.x.push_back(line.x.back());
    limit.y.push_back(line.y.back());
  }
  for (const ConstructionLine& help : {unity, limit})
    if (help.x.size() > 1) chart.lines.push_back(help);
  chart.lines.push_back({"rated current", {0, most}, {rated_current, rated_current}, Stroke::help});
  return chart;
}

}  // namespace polepitch
