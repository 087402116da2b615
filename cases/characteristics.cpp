#include "cases/characteristics.h"

#include <algorithm>
#include <cmath>

#include "cases/study_tools.h"
#include "post/torque.h"

namespace polepitch {
namespace {

constexpr double kClose = 3e-6;  // of rated: near the tolerance of the terminal conditions
constexpr double kSmall = 1e-3;  // A of field current: iron at its initial permeability

double rms(Phasor peak) {
  return std::abs(peak) / std::sqrt(2.0);
}

/// Rounded up to two digits, so that two meshes stop at the same current.
double tidy(double value) {
  const double unit = std::pow(10.0, std::floor(std::log10(value)) - 1);
  return unit * std::ceil(value / unit - 1e-9);
}

SteadyPoint short_circuit_at(SteadyState& steady, double field_current, const SteadyPoint* near) {
  Terminal terminal;
  terminal.given = Terminal::Given::load_angle;
  terminal.field_current = field_current;
  return steady.solve(terminal, near);
}

/// By the secant: the curve is nearly straight.
SteadyPoint short_circuit_of(SteadyState& steady, double current) {
  const InductanceMatrix l = (steady.at(0, kSmall), steady.inductances());
  double i_f = std::sqrt(2.0) * current * l.dd / l.df;
  SteadyPoint point = short_circuit_at(steady, i_f, nullptr);
  double before_i_f = 0, before = 0;
  for (int step = 0; step < 12 && std::abs(rms(point.current) - current) > kClose * current; ++step) {
    const double now = rms(point.current), slope = (now - before) / (i_f - before_i_f);
    if (!(slope > 0)) break;
    before_i_f = i_f;
    before = now;
    i_f += (current - now) / slope;
    point.current *= i_f / before_i_f;
    point = short_circuit_at(steady, i_f, &point);
  }
  return point;
}

}  // namespace

Rated rated_of(const Case& kase) {
  const PerUnitBase base = per_unit_base(kase.machine);
  return {base.voltage / std::sqrt(2.0), base.current / std::sqrt(2.0)};
}

NoLoadCurve::NoLoadCurve(SteadyState& steady, int points, double largest_voltage) : steady_(steady) {
  const Span span = span_of(largest_voltage);
  std::vector<double> i_f = {0}, voltage = {0};
  for (int k = 1; k <= points; ++k) {
    const double t = static_cast<double>(k) / points;
    i_f.push_back(span.straight * t + (span.end - span.straight) * t * t * t);
    voltage.push_back(rms(steady_.at(0, i_f.back()).voltage));
  }
  curve_ = MonotoneCurve(i_f, voltage);
  line_ = air_gap_line(curve_);
  find_line();
}

/// Voltage over field current has a flat top, found on the field itself: the parabola through the highest points, or
/// half the first field current while that is the highest.
void NoLoadCurve::find_line() {
  const double close = std::max(2e-6, 2 * steady_.options().field_rest);
  for (int step = 0; step < 8; ++step) {
    const std::vector<double> i_f(curve_.x().begin() + 1, curve_.x().end());
    std::vector<double> slope;
    for (size_t k = 0; k < i_f.size(); ++k) slope.push_back(curve_.y()[k + 1] / i_f[k]);
    const CurvePeak peak = curve_peak(i_f, slope);
    const double at = peak.at <= i_f.front() ? 0.5 * i_f.front() : peak.at;
    if (std::abs(solve_at(at) / at - peak.value) < close * peak.value) break;
  }
}

/// From the unsaturated slope outwards, then back by the secant where it went far past the voltage.
NoLoadCurve::Span NoLoadCurve::span_of(double largest_voltage) {
  constexpr double kMost = 20;  // of the unsaturated line's current: past it more field brings next to nothing
  steady_.at(0, kSmall);
  const double slope = steady_.options().omega * steady_.inductances().df / std::sqrt(2.0);
  const double straight = largest_voltage / slope;
  double low = 0, low_voltage = 0, high = straight, voltage = rms(steady_.at(0, high).voltage);
  while (voltage < largest_voltage && high < kMost * straight) {
    low = high;
    low_voltage = voltage;
    high *= 1.25;
    voltage = rms(steady_.at(0, high).voltage);
  }
  if (voltage < largest_voltage) return {tidy(straight), tidy(high)};
  const double share = (largest_voltage - low_voltage) / (voltage - low_voltage);
  return {std::min(tidy(straight), tidy(low + share * (high - low))), tidy(low + share * (high - low))};
}

double NoLoadCurve::solve_at(double field_current) {
  for (size_t i = 0; i < curve_.x().size(); ++i)
    if (std::abs(curve_.x()[i] - field_current) <= steady_.options().field_rest * field_current) return curve_.y()[i];
  const double voltage = rms(steady_.at(0, field_current).voltage);
  curve_ = curve_.with(field_current, voltage);
  line_ = air_gap_line(curve_);
  return voltage;
}

double NoLoadCurve::field_current(double voltage) {
  double i_f = curve_.where(voltage);
  for (int step = 0; step < 6; ++step) {
    const double left = voltage - solve_at(i_f);
    if (std::abs(left) <= steady_.options().field_rest * voltage) break;
    const double slope = steady_.options().omega * steady_.inductances().df / std::sqrt(2.0);
    i_f += left / slope;
  }
  return i_f;
}

ShortCircuitCurve short_circuit_curve(SteadyState& steady, const Rated& rated, int points, double largest) {
  ShortCircuitCurve result;
  result.rated = short_circuit_of(steady, rated.current);
  result.i_fk = result.rated.field_current;
  std::vector<double> i_f = {0}, current = {0};
  SteadyPoint near = result.rated;
  for (int k = 1; k <= points; ++k) {
    i_f.push_back(largest * result.i_fk * k / points);
    near.current *= i_f.back() / near.field_current;
    near = short_circuit_at(steady, i_f.back(), &near);
    current.push_back(rms(near.current));
  }
  result.curve = MonotoneCurve(i_f, current).with(result.i_fk, rms(result.rated.current));
  return result;
}

ZeroPowerFactorCurve zero_power_factor_curve(SteadyState& steady, const Rated& rated, const ShortCircuitCurve& start,
                                             int points, double largest) {
  ZeroPowerFactorCurve result;
  std::vector<double> shares;
  for (int k = 1; k <= points; ++k) shares.push_back(largest * k / points);
  if (std::none_of(shares.begin(), shares.end(), [](double s) { return std::abs(s - 1) < 1e-9; }))
    shares.insert(std::upper_bound(shares.begin(), shares.end(), 1.0), 1.0);
  std::vector<double> i_f = {start.i_fk}, voltage = {0};
  // On short circuit the voltage has no angle to start from: a little more field gives it one.
  SteadyPoint near = steady.at({-std::sqrt(2.0) * rated.current, 0}, 1.1 * start.i_fk);
  for (double share : shares) {
    Terminal terminal;
    terminal.given = Terminal::Given::powers;
    terminal.voltage = std::sqrt(2.0) * share * rated.voltage;
    terminal.reactive = -steady.phases() * share * rated.voltage * rated.current;
    if (const size_t n = i_f.size(); n > 2)  // straight on from the last two points
      near.field_current +=
          (share * rated.voltage - voltage[n - 1]) * (i_f[n - 1] - i_f[n - 2]) / (voltage[n - 1] - voltage[n - 2]);
    try {
      near = steady.solve(terminal, &near);
    } catch (const ConvergenceError& fault) {
      result.stopped = fault.diagnostics().front().message;
      break;
    }
    i_f.push_back(near.field_current);
    voltage.push_back(share * rated.voltage);
    if (std::abs(share - 1) < 1e-9) result.i_fa = near.field_current;
  }
  if (i_f.size() > 1) result.curve = MonotoneCurve(i_f, voltage);
  return result;
}

}  // namespace polepitch
