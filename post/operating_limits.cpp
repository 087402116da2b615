#include "post/operating_limits.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

// Steps of the scans that find the interval in which a search begins.
constexpr int kAngles = 90, kAmplitudes = 60, kTorqueAmplitudes = 12;

/// Where `f` is largest (one maximum) between a and b, by the golden section.
double golden(const std::function<double(double)>& f, double a, double b) {
  const double ratio = 0.5 * (std::sqrt(5.0) - 1);
  double c = b - ratio * (b - a), d = a + ratio * (b - a), fc = f(c), fd = f(d);
  for (int k = 0; k < 32; ++k)
    if (fc > fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - ratio * (b - a);
      fc = f(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + ratio * (b - a);
      fd = f(d);
    }
  return fc > fd ? c : d;
}

/// Between a place where `holds` is true and one where it is not: the last place where it is.
double last_true(const std::function<bool(double)>& holds, double yes, double no) {
  for (int k = 0; k < 50; ++k) {
    const double middle = 0.5 * (yes + no);
    (holds(middle) ? yes : no) = middle;
  }
  return yes;
}

}  // namespace

double LimitedPoint::current() const {
  return std::hypot(i_d, i_q);
}

double LimitedPoint::angle() const {
  return std::atan2(i_q, i_d);
}

LimitedOperation::LimitedOperation(const FluxMapSurface& map, const OperatingLimits& limits, bool magnets)
    : map_(map), limits_(limits), first_(magnets ? 0.5 * pi : 0), last_(magnets ? pi : 0.5 * pi) {}

LimitedPoint LimitedOperation::at(double i_d, double i_q, double omega) const {
  const FluxMapPoint m = map_.at(i_d, i_q, limits_.field_current);
  return at_speed({i_d, i_q, m.lambda_d, m.lambda_q, m.torque}, omega);
}

LimitedPoint LimitedOperation::at_speed(LimitedPoint p, double omega) const {
  p.u_d = limits_.resistance * p.i_d - omega * p.lambda_q;
  p.u_q = limits_.resistance * p.i_q + omega * p.lambda_d;
  p.voltage = std::hypot(p.u_d, p.u_q);
  return p;
}

LimitedPoint LimitedOperation::polar(double current, double angle, double omega) const {
  return at(current * std::cos(angle), current * std::sin(angle), omega);
}

LimitedPoint LimitedOperation::most_torque_per_ampere(double current) const {
  const auto torque = [&](double angle) { return polar(current, angle, 0).torque; };
  const double step = (last_ - first_) / kAngles;
  int best = 0;
  for (int k = 1; k <= kAngles; ++k)
    if (torque(first_ + k * step) > torque(first_ + best * step)) best = k;
  const double from = std::max(first_, first_ + (best - 1) * step), to = std::min(last_, first_ + (best + 1) * step);
  return polar(current, golden(torque, from, to), 0);
}

/// Along one current angle, the largest current inside both limits.
std::optional<LimitedPoint> LimitedOperation::farthest(double angle, double omega) const {
  const auto holds = [&](double current) { return allowed(polar(current, angle, omega)); };
  if (holds(limits_.current)) return polar(limits_.current, angle, omega);
  for (int k = kAmplitudes - 1; k >= 0; --k) {
    const double current = limits_.current * k / kAmplitudes;
    if (!holds(current)) continue;
    return polar(last_true(holds, current, limits_.current * (k + 1) / kAmplitudes), angle, omega);
  }
  return {};
}

std::optional<LimitedPoint> LimitedOperation::most_torque(double omega) const {
  const auto torque = [&](double angle) {
    const std::optional<LimitedPoint> p = farthest(angle, omega);
    return p ? p->torque : -HUGE_VAL;
  };
  const double step = (last_ - first_) / kAngles;
  int best = -1;
  double most = -HUGE_VAL;
  for (int k = 0; k <= kAngles; ++k)
    if (const double t = torque(first_ + k * step); t > most) {
      most = t;
      best = k;
    }
  if (best < 0) return {};
  const double from = std::max(first_, first_ + (best - 1) * step), to = std::min(last_, first_ + (best + 1) * step);
  const std::optional<LimitedPoint> fine = farthest(golden(torque, from, to), omega);
  return fine && fine->torque > most ? fine : farthest(first_ + best * step, omega);
}

/// At one i_d, the first i_q inside the current limit that makes the torque. Not along a current angle: little torque
/// at a high speed would lie between two of them.
std::optional<LimitedPoint> LimitedOperation::with_torque(double torque, double i_d) const {
  const double most = std::sqrt(std::max(0.0, limits_.current * limits_.current - i_d * i_d));
  const auto below = [&](double i_q) { return at(i_d, i_q, 0).torque < torque; };
  if (!below(0)) return at(i_d, 0, 0);
  for (int k = 1; k <= kTorqueAmplitudes; ++k) {
    const double i_q = most * k / kTorqueAmplitudes;
    if (below(i_q)) continue;
    return at(i_d, last_true(below, most * (k - 1) / kTorqueAmplitudes, i_q), 0);
  }
  return {};
}

TorqueLine LimitedOperation::torque_line(double torque) const {
  TorqueLine line{torque, {}};
  for (int k = 0; k <= kAngles; ++k)
    if (const std::optional<LimitedPoint> p = with_torque(torque, i_d_end() * k / kAngles)) line.points.push_back(*p);
  return line;
}

std::optional<LimitedPoint> LimitedOperation::least_current(const TorqueLine& line, double omega) const {
  const auto current_of = [&](const LimitedPoint& rest) {
    return allowed(at_speed(rest, omega)) ? rest.current() : HUGE_VAL;
  };
  const auto best = std::min_element(line.points.begin(), line.points.end(),
                                     [&](const auto& a, const auto& b) { return current_of(a) < current_of(b); });
  if (best == line.points.end() || current_of(*best) == HUGE_VAL) return {};
  const double step = std::abs(i_d_end()) / kAngles, low = std::min(0.0, i_d_end()), high = std::max(0.0, i_d_end());
  const auto searched = [&](double i_d) {
    const std::optional<LimitedPoint> p = with_torque(line.torque, i_d);
    return p ? -current_of(*p) : -HUGE_VAL;
  };
  const double fine = golden(searched, std::max(low, best->i_d - step), std::min(high, best->i_d + step));
  const bool finer = -searched(fine) < current_of(*best);
  return at_speed(finer ? *with_torque(line.torque, fine) : *best, omega);
}

std::optional<LimitedPoint> LimitedOperation::least_current(double torque, double omega) const {
  return least_current(torque_line(torque), omega);
}

double LimitedOperation::base_omega() const {
  const LimitedPoint p = most_torque_per_ampere(limits_.current);
  const auto holds = [&](double omega) { return allowed(at(p.i_d, p.i_q, omega)); };
  if (!holds(0)) return 0;
  double above = limits_.voltage / std::max(1e-12, std::hypot(p.lambda_d, p.lambda_q));
  while (holds(above)) above *= 2;
  return last_true(holds, 0, above);
}

}  // namespace polepitch
