#include "cases/capability.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/pull_out.h"

namespace polepitch {
namespace {

using Given = Terminal::Given;

double reactive_of(const SteadyState& state, const SteadyPoint& point) {
  return -complex_power(point, state.phases()).imag();  // into the terminal inductive: absorbed
}

double active_of(const SteadyState& state, const SteadyPoint& point, double sense) {
  return sense * complex_power(point, state.phases()).real();
}

void append(CapabilityLimit& limit, double power, double reactive, double field) {
  limit.power.push_back(power);
  limit.reactive.push_back(reactive);
  limit.field_current.push_back(field);
}

/// Points at held field current and rising power, until there is no steady state.
CapabilityLimit held_field(SteadyState& state, const CapabilityRequest& request, double field, double top) {
  CapabilityLimit limit;
  Terminal t{.given = Given::power, .voltage = request.chart.at.voltage, .field_current = field};
  SteadyPoint last;
  for (int k = 0; k < request.points; ++k) try {
      const double power = top * k / (request.points - 1);
      t.power = request.chart.sense() * power;
      last = state.solve(t, k > 0 ? &last : nullptr);
      append(limit, power, reactive_of(state, last), field);
    } catch (const ConvergenceError&) {
      break;
    }
  return limit;
}

/// A round number near the field limit, the same on every mesh, in whose shares the field currents are stepped.
double round_field(double limit) {
  return std::stod(fmt::format("{:.1e}", limit));
}

/// Pull-out at rising field currents, and the margin below it on the same field current. False past `top`.
bool margin_point(SteadyState& state, const CapabilityRequest& request, double field, double top, Capability& out) {
  const double sense = request.chart.sense();
  PullOut most;
  try {
    most = pull_out(state, request.chart.at.voltage, field, sense, 1.2);
  } catch (const ConvergenceError&) {
    return true;  // too weak a field to pull anything
  }
  const double end = active_of(state, most.point, sense), kept = end - request.margin * request.chart.rated_apparent;
  append(out.pull_out, end, reactive_of(state, most.point), field);
  if (kept <= 0) return true;
  Terminal t{.given = Given::power, .voltage = request.chart.at.voltage, .power = sense * kept, .field_current = field};
  SteadyPoint near = most.point;  // towards no load by a third: on the stable side
  Terminal angle{.given = Given::load_angle, .voltage = t.voltage, .load_angle = 0.7 * most.point.load_angle()};
  angle.field_current = field;
  near = state.solve(angle, &near);
  const SteadyPoint point = state.solve(t, &near);
  append(out.stable, kept, reactive_of(state, point), field);
  return kept < top;
}

/// Pull-out and margin from no field current on. Where a strong machine is past `top` after few steps, the steps are
/// divided again up to there, so that at least half of the points lie on the way.
void pull_outs(SteadyState& state, const CapabilityRequest& request, double top,
               const std::function<void(double)>& progress, Capability& out) {
  constexpr int kMostTurns = 4;
  double end = round_field(out.field_limit);
  for (int turn = 0; turn < kMostTurns; ++turn) {
    out.pull_out = out.stable = {};
    int k = 0;
    for (bool on = true; on && k < request.points; ++k) {
      progress(0.95 - 0.65 / (1 + turn + static_cast<double>(k) / request.points));
      on = margin_point(state, request, end * k / (request.points - 1), top, out);
    }
    const int last = k - 1;  // the step that passed `top`, or the end
    if (2 * k >= request.points || last == 0) return;
    end *= static_cast<double>(last) / (request.points - 1);
  }
}

/// The region that all limits allow, over active power.
void enclose(Capability& out, const CapabilityRequest& request) {
  const int count = 2 * request.points;
  const double top = std::min(request.largest_power, out.armature);
  for (int k = 0; k <= count; ++k) {
    const double power = top * k / count, circle = std::sqrt(std::max(0.0, std::pow(out.armature, 2) - power * power));
    const std::optional<double> field = out.field.at(power), weak = out.least_field.at(power),
                                stable = out.stable.at(power);
    if (!field) break;
    double least = -circle;
    const bool before = out.stable.empty() || power < out.stable.power.front();
    if (stable && !before) least = std::max(least, *stable);
    if (weak) least = std::max(least, *weak);
    const double most = std::min(circle, *field);
    if (most < least) break;
    out.power.push_back(power);
    out.most.push_back(most);
    out.least.push_back(least);
  }
}

}  // namespace

std::optional<double> CapabilityLimit::at(double active) const {
  if (power.empty() || active > power.back() * (1 + 1e-9)) return {};
  if (active <= power.front()) return reactive.front();
  const auto above = std::lower_bound(power.begin(), power.end(), active);
  if (above == power.end()) return reactive.back();
  const auto k = static_cast<size_t>(above - power.begin());
  return std::lerp(reactive[k - 1], reactive[k], (active - power[k - 1]) / (power[k] - power[k - 1]));
}

Capability capability(SteadyState& state, const CapabilityRequest& request,
                      const std::function<void(double)>& progress) {
  const ChartRequest& chart = request.chart;
  Capability out;
  out.armature = chart.rated_apparent * chart.at.voltage / state.options().voltage_scale;
  if (chart.at.largest_field_current)
    out.field_limit = *chart.at.largest_field_current;
  else
    out.field_limit = state.solve(terminal_of(chart.at)).field_current;
  progress(0.1);
  const double top = std::max(request.largest_power, out.armature);
  out.field = held_field(state, request, out.field_limit, top);
  progress(0.3);
  out.least_field = held_field(state, request, 0, top);
  pull_outs(state, request, top, progress, out);
  enclose(out, request);
  return out;
}

Construction capability_chart(const Capability& c, const CapabilityRequest& request) {
  using Stroke = ConstructionLine::Kind;
  Construction chart{.name = "chart", .title = "Capability: active and reactive power at the terminals"};
  chart.source = "limits solved on the field at constant terminal voltage; reactive power positive over-excited";
  chart.x_name = "reactive power", chart.x_unit = "kvar", chart.y_name = "active power", chart.y_unit = "kW";
  chart.equal_scales = true;
  const auto line = [&](const std::string& name, std::vector<double> x, std::vector<double> y, Stroke kind) {
    for (double& v : x) v *= 1e-3;
    for (double& v : y) v *= 1e-3;
    if (x.size() > 1) chart.lines.push_back({name, std::move(x), std::move(y), kind});
  };
  std::vector<double> x(c.least.begin(), c.least.end()), y(c.power.begin(), c.power.end());
  x.insert(x.end(), c.most.rbegin(), c.most.rend());
  y.insert(y.end(), c.power.rbegin(), c.power.rend());
  line("allowed by all limits", x, y, Stroke::curve);
  line(fmt::format("field current {:.4g} A", c.field_limit), c.field.reactive, c.field.power, Stroke::curve);
  line(fmt::format("{:.3g} of rated apparent power below pull-out", request.margin), c.stable.reactive, c.stable.power,
       Stroke::curve);
  line("pull-out", c.pull_out.reactive, c.pull_out.power, Stroke::curve);
  line("no field current", c.least_field.reactive, c.least_field.power, Stroke::curve);
  x.clear(), y.clear();
  for (int k = 0; k <= 90; ++k) {
    x.push_back(c.armature * std::cos(k * pi / 90));
    y.push_back(c.armature * std::sin(k * pi / 90));
  }
  line("rated armature current", x, y, Stroke::curve);
  line("largest power", {-c.armature, c.armature}, {request.largest_power, request.largest_power}, Stroke::help);
  const double active = request.chart.rated_active;
  const double reactive = std::sqrt(std::max(0.0, std::pow(request.chart.rated_apparent, 2) - active * active));
  chart.points.push_back({"N", 1e-3 * reactive, 1e-3 * active, "rated load"});
  return chart;
}

}  // namespace polepitch
