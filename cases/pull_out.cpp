#include "cases/pull_out.h"

#include <cmath>

namespace polepitch {
namespace {

constexpr double golden = 0.3819660112501051;  // (3 − √5)/2

struct Best {
  double x, w, v;     // best, second, third argument
  double fx, fw, fv;  // their values
};

void take(Best& b, double u, double fu, double& low, double& high) {
  if (fu >= b.fx) {
    (u >= b.x ? low : high) = b.x;
    b = {u, b.x, b.w, fu, b.fx, b.fw};
    return;
  }
  (u < b.x ? low : high) = u;
  if (fu >= b.fw || b.w == b.x)
    b = {b.x, u, b.w, b.fx, fu, b.fw};
  else if (fu >= b.fv || b.v == b.x || b.v == b.w)
    b.v = u, b.fv = fu;
}

/// Vertex of the parabola through the three best points, as a step from the best; not finite where they lie on a line.
double parabola_step(const Best& b) {
  const double r = (b.x - b.w) * (b.fx - b.fv), q = (b.x - b.v) * (b.fx - b.fw);
  return -((b.x - b.v) * q - (b.x - b.w) * r) / (2 * (q - r));
}

}  // namespace

Peak search_peak(const std::function<double(double)>& f, const Bracket& k, double tolerance) {
  Best best = k.f_a >= k.f_c ? Best{k.b, k.a, k.c, k.f_b, k.f_a, k.f_c} : Best{k.b, k.c, k.a, k.f_b, k.f_c, k.f_a};
  double low = k.a, high = k.c, before_last = high - low, last = before_last;
  int calls = 0;
  for (; calls < 60; ++calls) {
    const double middle = 0.5 * (low + high);
    if (std::abs(best.x - middle) + 0.5 * (high - low) <= 2 * tolerance) break;
    double step = parabola_step(best);
    const bool inside = best.x + step > low && best.x + step < high;
    if (!std::isfinite(step) || !inside || std::abs(step) >= 0.5 * std::abs(before_last)) {
      last = best.x < middle ? high - best.x : low - best.x;
      step = golden * last;
    }
    before_last = last;
    last = step;
    if (std::abs(step) < tolerance) step = std::copysign(tolerance, best.x < middle ? 1 : -1);
    const double u = best.x + step;
    take(best, u, f(u), low, high);
  }
  return {best.x, best.fx, calls};
}

PullOut pull_out(SteadyState& state, double voltage, double field_current, double sense, double near) {
  PullOut result;
  result.tolerance = 2e-3;
  Terminal t{.given = Terminal::Given::load_angle, .voltage = voltage, .field_current = field_current};
  SteadyPoint last;
  const auto torque = [&](double delta) {
    t.load_angle = sense * delta;
    last = state.solve(t, result.points > 0 ? &last : nullptr);
    ++result.points;
    return sense * last.torque;
  };
  constexpr double step = pi / 12;
  Bracket k{near - step, near, near + step, torque(near - step), torque(near), torque(near + step)};
  while (k.f_a > k.f_b && k.b > 0) k = {k.a - step, k.a, k.b, torque(k.a - step), k.f_a, k.f_b};
  while (k.f_c > k.f_b && k.b < pi) k = {k.b, k.c, k.c + step, k.f_b, k.f_c, torque(k.c + step)};
  if (k.f_a > k.f_b || k.f_c > k.f_b || k.f_b <= 0)
    throw ConvergenceError("the torque has no maximum over the load angle at this voltage and field current",
                           "a rotor without source and without saliency pulls nothing");
  const Peak peak = search_peak(torque, k, result.tolerance);
  if (t.load_angle != sense * peak.at) torque(peak.at);
  result.point = last;
  return result;
}

}  // namespace polepitch
