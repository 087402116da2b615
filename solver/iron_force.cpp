#include "solver/iron_force.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

/// Adds the nonlinear elements' internal force, and their stiffness where `values` is given: the consistent tangent, or
/// the frozen reluctivity.
template <bool kStiffness, bool kTangent>
void add_nonlinear(const FieldSystem& system, const std::vector<double>& x, std::vector<double>& force,
                   std::vector<double>* values) {
  const size_t count = system.nonlinear.elements.size();
  for (size_t e = 0; e < count; ++e) {
    const ElementTable::Element& element = system.nonlinear.elements[e];
    const BhCurve& curve = system.curves[system.nonlinear_region[e]];
    double local[6], k[21] = {}, f[6] = {};
    for (int i = 0; i < 6; ++i) local[i] = x[element.gather[i]];
    for (const ElementTable::Point& p : element.point) {
      double bx = 0, by = 0;
      for (int i = 0; i < 6; ++i) {
        bx += p.cx[i] * local[i];
        by += p.cy[i] * local[i];
      }
      double nu, slope;
      curve.reluctivity(bx * bx + by * by, nu, slope);
      const double w = p.weight * nu, s = 2 * p.weight * slope;
      double along[6];
      for (int i = 0; i < 6; ++i) {
        along[i] = bx * p.cx[i] + by * p.cy[i];
        f[i] += w * along[i];
      }
      if constexpr (kStiffness) {
        int n = 0;
        for (int i = 0; i < 6; ++i)
          for (int j = 0; j <= i; ++j) {
            k[n] += w * (p.cx[i] * p.cx[j] + p.cy[i] * p.cy[j]);
            if constexpr (kTangent) k[n] += s * along[i] * along[j];
            ++n;
          }
      }
    }
    for (int i = 0; i < 6; ++i)
      if (element.unknown[i] >= 0) force[element.unknown[i]] += f[i];
    if constexpr (kStiffness) {
      const int* to = &system.scatter[21 * e];
      for (int n = 0; n < 21; ++n)
        if (to[n] >= 0) (*values)[to[n]] += k[n];
    }
  }
}

/// Elements with two nodes on one unknown (a circle of one constant): the off-diagonal entry counts twice.
void add_doubled(const FieldSystem& system, const std::vector<double>& x, bool frozen, std::vector<double>& values) {
  for (int slot : system.doubled) {
    const ElementTable::Element& element = system.nonlinear.elements[slot / 21];
    int i = 0, n = slot % 21;
    while (n > i) n -= ++i;
    const int j = n;
    const BhCurve& curve = system.curves[system.nonlinear_region[slot / 21]];
    for (const ElementTable::Point& p : element.point) {
      double bx = 0, by = 0, nu, slope;
      for (int a = 0; a < 6; ++a) {
        bx += p.cx[a] * x[element.gather[a]];
        by += p.cy[a] * x[element.gather[a]];
      }
      curve.reluctivity(bx * bx + by * by, nu, slope);
      double k = nu * (p.cx[i] * p.cx[j] + p.cy[i] * p.cy[j]);
      if (!frozen) k += 2 * slope * (bx * p.cx[i] + by * p.cy[i]) * (bx * p.cx[j] + by * p.cy[j]);
      values[system.scatter[slot]] += p.weight * k;
    }
  }
}

}  // namespace

void add_iron_force(const FieldSystem& system, const std::vector<double>& x, std::vector<double>& force) {
  add_nonlinear<false, false>(system, x, force, nullptr);
}

void add_iron_stiffness(const FieldSystem& system, const std::vector<double>& x, bool frozen,
                        std::vector<double>& force, std::vector<double>& values) {
  if (frozen)
    add_nonlinear<true, false>(system, x, force, &values);
  else
    add_nonlinear<true, true>(system, x, force, &values);
  add_doubled(system, x, frozen, values);
}

double field_energy(const FieldSystem& s, const GapTurn& turn, const std::vector<double>& x) {
  std::vector<double> kx(x.size(), 0.0);
  s.add_linear_force(turn, x, kx);
  double sum = s.magnet_energy - s.magnets.dot(x);
  for (size_t i = 0; i < x.size(); ++i) sum += 0.5 * x[i] * kx[i];
  for (size_t e = 0; e < s.nonlinear.elements.size(); ++e) {
    const ElementTable::Element& element = s.nonlinear.elements[e];
    for (const ElementTable::Point& p : element.point) {
      double bx = 0, by = 0;
      for (int i = 0; i < 6; ++i) {
        bx += p.cx[i] * x[element.gather[i]];
        by += p.cy[i] * x[element.gather[i]];
      }
      sum += p.weight * s.curves[s.nonlinear_region[e]].energy(std::hypot(bx, by));
    }
  }
  return sum;
}

double search_line(double slope0, double slope1, const std::function<double(double)>& slope_at) {
  double low = 0, high = 1, slope_low = slope0, slope_high = slope1;
  double t = 1;
  for (int k = 0; k < 12; ++k) {
    t = low - slope_low * (high - low) / (slope_high - slope_low);
    t = std::clamp(t, low + 0.1 * (high - low), high - 0.1 * (high - low));
    const double s = slope_at(t);
    if (std::abs(s) < 0.3 * std::abs(slope0)) break;
    (s < 0 ? low : high) = t;
    (s < 0 ? slope_low : slope_high) = s;
  }
  return t;
}

}  // namespace polepitch
