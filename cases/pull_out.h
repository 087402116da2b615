// The largest torque at held terminal voltage and field current, searched on the field itself.
#pragma once

#include <functional>

#include "cases/steady_state.h"

namespace polepitch {

/// Arguments a < b < c and their values, f_b not under the others.
struct Bracket {
  double a, b, c, f_a, f_b, f_c;
};

/// Largest value of a smooth function inside a bracket: parabolas through the best points, golden sections where they
/// do not shorten the bracket (R. P. Brent, Algorithms for Minimization without Derivatives, 1973). Ends when the
/// argument is known to `tolerance`.
struct Peak {
  double at = 0, value = 0;
  int calls = 0;
};
Peak search_peak(const std::function<double(double)>& f, const Bracket& bracket, double tolerance);

struct PullOut {
  SteadyPoint point;
  double tolerance = 0;  // rad, of its load angle
  int points = 0;        // load angles that were solved
};

/// `sense` +1: motoring, −1: generating. `near` [rad]: a load angle to start from, on the side of `sense`. Throws
/// ConvergenceError where the torque has no such maximum.
PullOut pull_out(SteadyState& state, double voltage, double field_current, double sense, double near = 1.05);

}  // namespace polepitch
