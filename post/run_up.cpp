#include "post/run_up.h"

#include "post/dormand_prince.h"

namespace polepitch {
namespace {

using State = std::array<double, 4>;  // speed, heat of bars, rings and stator

void keep(RunUp& run, double t, const State& y) {
  run.time.push_back(t);
  run.speed.push_back(y[0]);
  run.bars.push_back(y[1]);
  run.rings.push_back(y[2]);
  run.copper.push_back(y[3]);
}

}  // namespace

RunUp run_up(const RunUpInput& in) {
  const auto rate = [&](const State& y) {
    return State{(in.torque(y[0]) - in.load(y[0])) / in.inertia, in.bar_loss(y[0]), in.ring_loss(y[0]),
                 in.copper(y[0])};
  };
  const double energy = 0.5 * in.inertia * in.final_speed * in.final_speed, goal = in.near * in.final_speed;
  const State scale = {in.tolerance * in.final_speed, in.tolerance * energy, in.tolerance * energy,
                       in.tolerance * energy};
  RunUp run;
  State y{};
  keep(run, 0, y);
  const double start = rate(y)[0];
  if (!(start > 0)) return run;
  double t = 0, h = 1e-3 * in.final_speed / start;
  for (int tries = 0; tries < 1000000 && t < in.longest; ++tries) {
    OdeStep<4> step = dormand_prince_step(rate, y, h, scale);
    if (step.error > 1) {
      h *= next_step_ratio(step.error);
      continue;
    }
    if (step.end[0] >= goal) {  // the step that ends at the goal, by its shares
      double low = 0, high = h;
      for (int k = 0; k < 60 && high - low > 1e-12 * (t + h); ++k) {
        const double middle = 0.5 * (low + high);
        (dormand_prince_step(rate, y, middle, scale).end[0] < goal ? low : high) = middle;
      }
      keep(run, t + high, dormand_prince_step(rate, y, high, scale).end);
      run.arrived = true;
      return run;
    }
    t += h;
    y = step.end;
    keep(run, t, y);
    h *= next_step_ratio(step.error);
  }
  return run;
}

double meeting_speed(const std::function<double(double)>& torque, const std::function<double(double)>& load,
                     double synchronous, int steps) {
  const auto over = [&](double speed) { return torque(speed) > load(speed); };
  if (!over(0)) return 0;
  double low = 0;
  for (int k = 1; k <= steps; ++k) {
    double high = synchronous * k / steps;
    if (over(high)) {
      low = high;
      continue;
    }
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      (over(middle) ? low : high) = middle;
    }
    return low;
  }
  return synchronous;
}

}  // namespace polepitch
