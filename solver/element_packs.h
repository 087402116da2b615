// Elements of one region in packs of four, and what an element loop does at their quadrature points. All is said in the
// reference triangle's derivatives: with e_a = Σ_i z_i ∂φ_i/∂l_a and the metric G of a point, B² = e·Ge, and the force
// and stiffness of a shape's derivatives d_i are w ν Ge·d_i and w d_i·(ν G + 2 ν' Ge (Ge)ᵀ) d_j, ν' = dν/d(B²).
#pragma once

#include <vector>

#include "solver/bh_curve.h"
#include "solver/element_tables.h"
#include "solver/lanes.h"

namespace polepitch {

/// Derivatives of the shapes in l1 and l2 at the quadrature points of the reference triangle.
template <int kShapes, int kPoints>
struct ReferenceSlopes {
  double d1[kPoints][kShapes], d2[kPoints][kShapes];
};

/// Metric and weight of a quadrature point: |∇A|² = e·Ge.
struct PackPoint {
  Lanes g11, g12, g22, weight;  // weight: Gauss weight × Jacobian [m2]
};

template <int kShapes, int kPoints>
struct ElementPack {
  int region;
  int element[kLanes];           // place in the list that the packs were made of; −1: an empty lane, all zeros
  int unknown[kShapes][kLanes];  // 0 where there is none
  Lanes sign[kShapes];           // 0 there
  PackPoint point[kPoints];
};

template <int kShapes, int kPoints>
ElementPack<kShapes, kPoints> empty_pack(int region) {
  ElementPack<kShapes, kPoints> pack = {};
  pack.region = region;
  for (int& element : pack.element) element = -1;
  return pack;
}

/// Metric and weight of one triangle at one point into a lane.
void set_point(const Mesh& mesh, int triangle, const QuadraturePoint& q, int lane, PackPoint& point);

/// Places of the list in packs: elements of one region side by side, in the list's order.
std::vector<std::vector<int>> group_by_region(const std::vector<int>& region_of_place);

// GCC 12 sees the halves of a pack that is set at once as not set yet.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
POLEPITCH_INLINE void gather(const double* x, const int (&place)[kLanes], Lanes& z) {
  z = Lanes{x[place[0]], x[place[1]], x[place[2]], x[place[3]]};
}
#pragma GCC diagnostic pop

template <int kShapes>
using PackVector = Lanes[kShapes];

template <int kShapes, int kPoints>
POLEPITCH_INLINE void gather(const ElementPack<kShapes, kPoints>& pack, const double* x, PackVector<kShapes>& z) {
  for (int i = 0; i < kShapes; ++i) {
    gather(x, pack.unknown[i], z[i]);
    z[i] *= pack.sign[i];
  }
}

/// B² at every point, and Ge there.
template <int kShapes, int kPoints>
POLEPITCH_INLINE void evaluate(const ElementPack<kShapes, kPoints>& pack, const ReferenceSlopes<kShapes, kPoints>& d,
                               const PackVector<kShapes>& z, Lanes (&along)[kPoints][2], Lanes (&squared)[kPoints]) {
  for (int q = 0; q < kPoints; ++q) {
    Lanes e1 = z[0] * d.d1[q][0], e2 = z[0] * d.d2[q][0];
    for (int i = 1; i < kShapes; ++i) {
      e1 += z[i] * d.d1[q][i];
      e2 += z[i] * d.d2[q][i];
    }
    const PackPoint& p = pack.point[q];
    along[q][0] = p.g11 * e1 + p.g12 * e2;
    along[q][1] = p.g12 * e1 + p.g22 * e2;
    squared[q] = e1 * along[q][0] + e2 * along[q][1];
  }
}

/// f += the force of one point, Ge = along.
template <int kShapes, int kPoints>
POLEPITCH_INLINE void add_point_force(const ReferenceSlopes<kShapes, kPoints>& d, int q, const Lanes& weight,
                                      const Lanes& nu, const Lanes (&along)[2], PackVector<kShapes>& f) {
  const Lanes w = weight * nu, f1 = w * along[0], f2 = w * along[1];
  for (int i = 0; i < kShapes; ++i) f[i] += f1 * d.d1[q][i] + f2 * d.d2[q][i];
}

/// k += the stiffness of one point, lower triangle by rows; slope = dν/d(B²), or 0 with the reluctivity frozen.
template <int kShapes, int kPoints>
POLEPITCH_INLINE void add_point_stiffness(const ReferenceSlopes<kShapes, kPoints>& d, int q, const PackPoint& p,
                                          const Lanes& nu, const Lanes& slope, const Lanes (&along)[2],
                                          Lanes (&k)[kShapes * (kShapes + 1) / 2]) {
  const Lanes w = p.weight * nu, s = 2 * p.weight * slope;
  const Lanes w11 = w * p.g11 + s * along[0] * along[0], w12 = w * p.g12 + s * along[0] * along[1],
              w22 = w * p.g22 + s * along[1] * along[1];
  int n = 0;
  for (int i = 0; i < kShapes; ++i) {
    const Lanes v1 = w11 * d.d1[q][i] + w12 * d.d2[q][i], v2 = w12 * d.d1[q][i] + w22 * d.d2[q][i];
    for (int j = 0; j <= i; ++j, ++n) k[n] += v1 * d.d1[q][j] + v2 * d.d2[q][j];
  }
}

/// y += f, lane after lane: elements of a pack share unknowns.
template <int kShapes, int kPoints>
POLEPITCH_INLINE void scatter(const ElementPack<kShapes, kPoints>& pack, PackVector<kShapes>& f, double* y) {
  for (int i = 0; i < kShapes; ++i) {
    f[i] *= pack.sign[i];
    for (int l = 0; l < kLanes; ++l) y[pack.unknown[i][l]] += f[i][l];
  }
}

}  // namespace polepitch
