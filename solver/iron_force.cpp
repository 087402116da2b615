#include "solver/iron_force.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

/// Adds one pack's internal force, and its stiffness to `values` where given: the consistent tangent, or the frozen
/// reluctivity.
template <bool kStiffness>
POLEPITCH_INLINE void add_pack(const IronPack& pack, const IronSlopes& slopes, const BhCurve& curve, bool frozen,
                               const int* places, const double* x, double* force, double* values) {
  Lanes local[6], along[kQuad][2], squared[kQuad], nu[kQuad], slope[kQuad];
  gather(pack, x, local);
  evaluate(pack, slopes, local, along, squared);
  curve.reluctivity(squared, nu, slope, kQuad);
  const Lanes none = {};
  Lanes f[6] = {}, k[kStiffness ? 21 : 1] = {};
  for (int q = 0; q < kQuad; ++q) {
    add_point_force(slopes, q, pack.point[q].weight, nu[q], along[q], f);
    if constexpr (kStiffness)
      add_point_stiffness(slopes, q, pack.point[q], nu[q], frozen ? none : slope[q], along[q], k);
  }
  scatter(pack, f, force);
  if constexpr (kStiffness) {
    int n = 0;
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j <= i; ++j, ++n) k[n] *= pack.sign[i] * pack.sign[j];
    for (int l = 0; l < kLanes; ++l) {
      if (pack.element[l] < 0) continue;
      const int* to = places + 21 * pack.element[l];
      for (n = 0; n < 21; ++n)
        if (to[n] >= 0) values[to[n]] += k[n][l];
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

POLEPITCH_CLONES void add_iron_force(const FieldSystem& system, const std::vector<double>& x,
                                     std::vector<double>& force) {
  for (const IronPack& pack : system.iron)
    add_pack<false>(pack, system.iron_slopes, system.curves[pack.region], false, nullptr, x.data(), force.data(),
                    nullptr);
}

POLEPITCH_CLONES void add_iron_packs(const FieldSystem& system, const std::vector<double>& x, bool frozen,
                                     std::vector<double>& force, std::vector<double>& values) {
  for (const IronPack& pack : system.iron)
    add_pack<true>(pack, system.iron_slopes, system.curves[pack.region], frozen, system.scatter.data(), x.data(),
                   force.data(), values.data());
}

void add_iron_stiffness(const FieldSystem& system, const std::vector<double>& x, bool frozen,
                        std::vector<double>& force, std::vector<double>& values) {
  add_iron_packs(system, x, frozen, force, values);
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
