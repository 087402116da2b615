#include "post/swing.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

using State = std::array<double, 2>;  // δ, dδ/dt

// Dormand–Prince: stages, the fifth-order weights are the last row; difference to fourth order below.
constexpr double a[6][6] = {{1.0 / 5},
                            {3.0 / 40, 9.0 / 40},
                            {44.0 / 45, -56.0 / 15, 32.0 / 9},
                            {19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729},
                            {9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656},
                            {35.0 / 384, 0, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84}};
constexpr double difference[7] = {71.0 / 57600,      0,          -71.0 / 16695, 71.0 / 1920,
                                  -17253.0 / 339200, 22.0 / 525, -1.0 / 40};

struct Step {
  State end;
  double error;
};

template <class Rate>
Step try_step(const Rate& rate, const State& y, double h, const State& scale) {
  State k[7];
  k[0] = rate(y);
  State at = y;
  for (int s = 0; s < 6; ++s) {
    at = y;
    for (int r = 0; r <= s; ++r)
      for (int i = 0; i < 2; ++i) at[i] += h * a[s][r] * k[r][i];
    k[s + 1] = rate(at);
  }
  double error = 0;
  for (int i = 0; i < 2; ++i) {
    double sum = 0;
    for (int s = 0; s < 7; ++s) sum += difference[s] * k[s][i];
    error = std::max(error, std::abs(h * sum) / scale[i]);
  }
  return {at, error};
}

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
    const Step step = try_step(rate, y, used, scale);
    const double factor = std::clamp(0.9 * std::pow(std::max(step.error, 1e-10), -0.2), 0.2, 4.0);
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
