#include "cases/load_angle_curve.h"

#include <cmath>

#include "cases/load.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "solver/bh_curve.h"

namespace polepitch {

double TwoReactances::torque(double delta) const {
  return scale *
         (emf * voltage / x_d * std::sin(delta) + 0.5 * voltage * voltage * (1 / x_q - 1 / x_d) * std::sin(2 * delta));
}

TwoReactances two_reactances(const SteadyState& state, const SteadyPoint& point, const FrozenInductances& frozen,
                             int pole_pairs) {
  const SteadyOptions& o = state.options();
  TwoReactances t;
  t.x_d = o.omega * frozen.apparent.dd;
  t.x_q = o.omega * frozen.apparent.qq;
  t.emf = point.voltage.imag() - o.resistance * point.current.imag() - t.x_d * point.current.real();
  t.voltage = std::abs(point.voltage);
  t.scale = 0.5 * state.phases() * pole_pairs / o.omega;
  return t;
}

std::optional<TwoReactances> unsaturated_reactances(SteadyState& state, const SteadyPoint& point,
                                                    const Section& section) {
  const bool wound = field_branch(section) >= 0;
  const double share = wound ? 0.1 : 1;
  const SteadyPoint empty = state.at(0, share * point.field_current);
  TwoReactances t = two_reactances(state, empty, state.frozen(), section.pole_pairs);
  t.emf = state.options().omega * empty.linkage.real() / share;
  if (t.emf < 1e-3 * state.options().voltage_scale) return {};
  t.voltage = std::abs(point.voltage);
  return t;
}

std::vector<SteadyPoint> load_angle_points(SteadyState& state, const SteadyPoint& near, double voltage, int count,
                                           const std::function<void(int, const SteadyPoint&)>& solved) {
  std::vector<SteadyPoint> points(static_cast<size_t>(count));
  Terminal t{.given = Terminal::Given::load_angle, .voltage = voltage, .field_current = near.field_current};
  const auto angle = [&](int k) { return -pi + 2 * pi * k / count; };
  const auto run = [&](int from, int to, int step) {
    SteadyPoint last = state.at(near.current, near.field_current);
    for (int k = from; k != to; k += step) {
      t.load_angle = angle(k);
      last = points[static_cast<size_t>(k)] = state.solve(t, &last);
      if (solved) solved(k, last);
    }
  };
  int first = 0;
  while (first < count && angle(first) < near.load_angle()) ++first;
  run(first, count, 1);
  run(first - 1, -1, -1);
  return points;
}

}  // namespace polepitch
