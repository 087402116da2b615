// Shape functions of the first- and second-order triangle and quadrature on it. Node order as in geometry/mesh.h.
#pragma once

#include <array>
#include <cstddef>

namespace polepitch {

struct Barycentric {
  double l1, l2;  // of corners 1 and 2; corner 0 has 1 − l1 − l2
};

struct QuadraturePoint {
  Barycentric at;
  double weight;  // the weights sum to 1/2, the area of the reference triangle
};

/// Degree 4, six points (D. A. Dunavant, Int. J. Numer. Methods Eng. 21, 1985): three points cost 5e-5 of torque in
/// nonlinear elements.
inline constexpr std::array<QuadraturePoint, 6> kTriangleRule = {{
    {{0.445948490915965, 0.445948490915965}, 0.111690794839005},
    {{0.108103018168070, 0.445948490915965}, 0.111690794839005},
    {{0.445948490915965, 0.108103018168070}, 0.111690794839005},
    {{0.091576213509771, 0.091576213509771}, 0.054975871827661},
    {{0.816847572980459, 0.091576213509771}, 0.054975871827661},
    {{0.091576213509771, 0.816847572980459}, 0.054975871827661},
}};

struct ShapeValues {
  std::array<double, 6> value{};     // at the point; entries 3–5 unused in first order
  std::array<double, 6> d1{}, d2{};  // derivatives in l1 and l2
};

inline ShapeValues shape_values(int order, Barycentric at) {
  const double a = 1 - at.l1 - at.l2, b = at.l1, c = at.l2;
  ShapeValues s;
  if (order == 1) {
    s.value = {a, b, c};
    s.d1 = {-1, 1, 0};
    s.d2 = {-1, 0, 1};
    return s;
  }
  s.value = {a * (2 * a - 1), b * (2 * b - 1), c * (2 * c - 1), 4 * a * b, 4 * b * c, 4 * c * a};
  s.d1 = {1 - 4 * a, 4 * b - 1, 0, 4 * (a - b), 4 * c, -4 * c};
  s.d2 = {1 - 4 * a, 0, 4 * c - 1, -4 * b, 4 * b, 4 * (a - c)};
  return s;
}

}  // namespace polepitch
