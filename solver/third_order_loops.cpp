#include "solver/third_order_loops.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

constexpr int kKept = ThirdOrderCondensed::kKept;
constexpr int kAll = kThirdShapes * (kThirdShapes + 1) / 2;

template <int kShapes>
POLEPITCH_INLINE void gather_first(const ThirdOrderCondensed& c, const double* x, Lanes (&z)[kShapes]) {
  for (int i = 0; i < kShapes; ++i) gather(x, c.unknown[i], z[i]);
}

POLEPITCH_INLINE void scatter_kept(const ThirdOrderCondensed& c, const Lanes (&f)[kKept], double* y) {
  for (int i = 0; i < kKept; ++i)
    for (int l = 0; l < kLanes; ++l) y[c.unknown[i][l]] += f[i][l];
}

/// f = K z of the kept shapes.
POLEPITCH_INLINE void product(const ThirdOrderCondensed& c, const Lanes (&z)[kKept], Lanes (&f)[kKept]) {
  int n = 0;
  for (int i = 0; i < kKept; ++i) {
    Lanes sum = c.k[n] * z[0];
    if (i > 0) f[0] += c.k[n] * z[i];
    ++n;
    for (int j = 1; j < i; ++j, ++n) {
      sum += c.k[n] * z[j];
      f[j] += c.k[n] * z[i];
    }
    if (i > 0) sum += c.k[n++] * z[i];
    f[i] = sum;
  }
}

POLEPITCH_INLINE void condense(const ThirdOrderPack& pack, Lanes (&k)[kAll], ThirdOrderCondensed& out) {
  const Lanes one = {1, 1, 1, 1};
  const Lanes* last = k + kAll - kThirdShapes;  // row of the inside
  out.inside = last[kKept];
  Lanes inverse = one / out.inside;
  for (int l = 0; l < kLanes; ++l)
    if (pack.element[l] < 0) inverse[l] = 0;
  out.inverse = inverse;
  int n = 0;
  for (int i = 0; i < kKept; ++i) {
    out.to_inside[i] = last[i] * inverse * pack.sign[i];
    for (int j = 0; j <= i; ++j, ++n) out.k[n] = (k[n] - last[i] * last[j] * inverse) * pack.sign[i] * pack.sign[j];
  }
}

}  // namespace

namespace third_order {

POLEPITCH_CLONES void add_product(const ThirdOrderCondensed* all, size_t count, const double* x, double* y) {
  for (size_t e = 0; e < count; ++e) {
    Lanes z[kKept], f[kKept];
    gather_first(all[e], x, z);
    product(all[e], z, f);
    scatter_kept(all[e], f, y);
  }
}

/// Force of packs of constant reluctivity: K z with the inside put back.
POLEPITCH_CLONES void add_linear_force(const ThirdOrderCondensed* all, size_t count, const double* z, double* force) {
  for (size_t e = 0; e < count; ++e) {
    const ThirdOrderCondensed& c = all[e];
    Lanes local[kThirdShapes], kept[kKept], f[kKept];
    gather_first(c, z, local);
    std::copy_n(local, kKept, kept);
    product(c, kept, f);
    Lanes inside = local[kKept];
    for (int i = 0; i < kKept; ++i) inside += c.to_inside[i] * local[i];
    inside *= c.inside;
    for (int i = 0; i < kKept; ++i) f[i] += c.to_inside[i] * inside;
    scatter_kept(c, f, force);
    for (int l = 0; l < kLanes; ++l) force[c.unknown[kKept][l]] += inside[l];
  }
}

POLEPITCH_CLONES void stiffen_linear(const ThirdOrderPack& pack, const ThirdOrderSlopes& slopes, double nu,
                                     ThirdOrderCondensed& out) {
  const Lanes none = {}, reluctivity = none + nu, along[2] = {none, none};
  Lanes k[kAll] = {};
  for (int q = 0; q < kThirdPoints; ++q) add_point_stiffness(slopes, q, pack.point[q], reluctivity, none, along, k);
  condense(pack, k, out);
}

POLEPITCH_CLONES void add_iron(const ThirdOrderPack& pack, const ThirdOrderSlopes& slopes, const BhCurve& curve,
                               bool frozen, const double* z, double* force, ThirdOrderCondensed& out) {
  Lanes local[kThirdShapes], along[kThirdPoints][2], squared[kThirdPoints], nu[kThirdPoints], slope[kThirdPoints];
  gather(pack, z, local);
  evaluate(pack, slopes, local, along, squared);
  curve.reluctivity(squared, nu, slope, kThirdPoints);
  const Lanes none = {};
  Lanes f[kThirdShapes] = {}, k[kAll] = {};
  for (int q = 0; q < kThirdPoints; ++q) {
    add_point_force(slopes, q, pack.point[q].weight, nu[q], along[q], f);
    add_point_stiffness(slopes, q, pack.point[q], nu[q], frozen ? none : slope[q], along[q], k);
  }
  scatter(pack, f, force);
  condense(pack, k, out);
}

POLEPITCH_CLONES double eliminate(const ThirdOrderCondensed* all, size_t count, double* right) {
  Lanes sum = {};
  for (size_t e = 0; e < count; ++e) {
    const ThirdOrderCondensed& c = all[e];
    Lanes inside, f[kKept];
    gather(right, c.unknown[kKept], inside);
    sum += inside * inside * c.inverse;
    for (int i = 0; i < kKept; ++i) f[i] = -c.to_inside[i] * inside;
    scatter_kept(c, f, right);
  }
  return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

POLEPITCH_CLONES void add_inside(const ThirdOrderCondensed* all, size_t count, const double* right, const double* x,
                                 double* z) {
  for (size_t e = 0; e < count; ++e) {
    const ThirdOrderCondensed& c = all[e];
    Lanes step, local;
    gather(right, c.unknown[kKept], step);
    step *= c.inverse;
    for (int i = 0; i < kKept; ++i) {
      gather(x, c.unknown[i], local);
      step -= c.to_inside[i] * local;
    }
    for (int l = 0; l < kLanes; ++l) z[c.unknown[kKept][l]] += step[l];
  }
}

POLEPITCH_CLONES void advance(size_t size, double alpha, const double* direction, const double* image, double* x,
                              double* r) {
  for (size_t i = 0; i < size; ++i) x[i] += alpha * direction[i];
  for (size_t i = 0; i < size; ++i) r[i] -= alpha * image[i];
}

POLEPITCH_CLONES void redirect(size_t size, double beta, const double* z, double* direction) {
  for (size_t i = 0; i < size; ++i) direction[i] = z[i] + beta * direction[i];
}

POLEPITCH_CLONES double energy(const ThirdOrderPack& pack, const ThirdOrderSlopes& slopes, const BhCurve& curve,
                               const double* z) {
  Lanes local[kThirdShapes], along[kThirdPoints][2], squared[kThirdPoints];
  double sum = 0;
  gather(pack, z, local);
  evaluate(pack, slopes, local, along, squared);
  for (int q = 0; q < kThirdPoints; ++q)
    for (int l = 0; l < kLanes; ++l) sum += pack.point[q].weight[l] * curve.energy(std::sqrt(squared[q][l]));
  return sum;
}
}  // namespace third_order
}  // namespace polepitch
