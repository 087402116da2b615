#include "post/swing.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "post/dormand_prince.h"
#include "solver/bh_curve.h"

namespace polepitch {
namespace {

using State = std::array<double, 2>;  // δ, dδ/dt

}  // namespace

PeriodicCurve::PeriodicCurve(const std::vector<double>& values) {
  const auto n = values.size();
  cosine_.assign(n / 2 + 1, 0);
  sine_.assign(n / 2 + 1, 0);
  for (size_t order = 0; order <= n / 2; ++order) {
    const bool single = order == 0 || 2 * order == n;
    for (size_t k = 0; k < n; ++k) {
      const double angle = -pi + 2 * pi * static_cast<double>(k) / static_cast<double>(n);
      const double weight = (single ? 1.0 : 2.0) / static_cast<double>(n) * values[k];
      cosine_[order] += weight * std::cos(static_cast<double>(order) * angle);
      if (!single) sine_[order] += weight * std::sin(static_cast<double>(order) * angle);
    }
  }
}

double PeriodicCurve::at(double angle) const {
  double sum = 0;
  for (size_t order = 0; order < cosine_.size(); ++order)
    sum += cosine_[order] * std::cos(static_cast<double>(order) * angle) +
           sine_[order] * std::sin(static_cast<double>(order) * angle);
  return sum;
}

Swing swing(const SwingInput& in) {
  const auto rate = [&](const State& y) {
    return State{y[1], -in.pole_pairs / in.inertia * (in.torque(y[0]) - in.load)};
  };
  const double every = in.duration / in.samples;
  const State scale = {in.tolerance, in.tolerance * 2 * pi / every / in.samples};
  State y = {in.start_angle, 0};
  Swing result;
  double t = 0, h = 0.1 * every;
  const auto keep = [&] {
    result.time.push_back(t);
    result.angle.push_back(y[0]);
    result.slip_speed.push_back(y[1]);
  };
  keep();
  while (t < in.duration && !result.lost && result.steps + result.refused < 1000000) {
    const double next = every * static_cast<double>(result.time.size());
    const double left = next - t;
    const bool lands = h >= left;
    const double used = lands ? left : h;
    const OdeStep<2> step = dormand_prince_step(rate, y, used, scale);
    const double factor = next_step_ratio(step.error);
    if (step.error > 1) {
      ++result.refused;
      h = used * factor;
      continue;
    }
    ++result.steps;
    if (!lands || factor < 1) h = used * factor;
    y = step.end;
    t = lands ? next : t + used;
    if (lands) keep();
    result.lost = in.stop_angle > 0 && std::abs(y[0]) > in.stop_angle;
  }
  return result;
}

}  // namespace polepitch
