// One step of the Dormand–Prince method 5(4) (J. R. Dormand, P. J. Prince, J. Comput. Appl. Math. 6(1), 1980) for a few
// unknowns.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace polepitch {

template <std::size_t N>
struct OdeStep {
  std::array<double, N> end;
  double error = 0;  // estimated, over the scale: accept up to 1
};

/// `rate`: dy/dt of y. `scale`: error of each unknown that a step may make.
template <std::size_t N, class Rate>
OdeStep<N> dormand_prince_step(const Rate& rate, const std::array<double, N>& y, double h,
                               const std::array<double, N>& scale) {
  // Stages, the fifth-order weights are the last row; difference to fourth order below.
  constexpr double a[6][6] = {{1.0 / 5},
                              {3.0 / 40, 9.0 / 40},
                              {44.0 / 45, -56.0 / 15, 32.0 / 9},
                              {19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729},
                              {9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656},
                              {35.0 / 384, 0, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84}};
  constexpr double difference[7] = {71.0 / 57600,      0,          -71.0 / 16695, 71.0 / 1920,
                                    -17253.0 / 339200, 22.0 / 525, -1.0 / 40};
  std::array<double, N> k[7];
  k[0] = rate(y);
  OdeStep<N> step{y, 0};
  for (int s = 0; s < 6; ++s) {
    step.end = y;
    for (int r = 0; r <= s; ++r)
      for (std::size_t i = 0; i < N; ++i) step.end[i] += h * a[s][r] * k[r][i];
    k[s + 1] = rate(step.end);
  }
  for (std::size_t i = 0; i < N; ++i) {
    double sum = 0;
    for (int s = 0; s < 7; ++s) sum += difference[s] * k[s][i];
    step.error = std::max(step.error, std::abs(h * sum) / scale[i]);
  }
  return step;
}

/// Share of the step's length to take next, between a fifth and four times.
inline double next_step_ratio(double error) {
  return std::clamp(0.9 * std::pow(std::max(error, 1e-10), -0.2), 0.2, 4.0);
}

}  // namespace polepitch
