// What the element loops need, computed once a mesh: curl of each shape function and weight at each quadrature point,
// in terms of unknowns (signs of slaves are already in, fixed nodes have zero curl).
#pragma once

#include <vector>

#include "solver/dofs.h"
#include "solver/triangle.h"

namespace polepitch {

inline constexpr int kQuad = static_cast<int>(kTriangleRule.size());

struct ElementTable {
  struct Point {
    double cx[6], cy[6];  // curl φ_i = (∂φ_i/∂y, −∂φ_i/∂x)
    double weight;        // Gauss weight × |Jacobian| [m2]
  };
  struct Element {
    int unknown[6];  // −1: fixed (its curl is 0 here; the index is then 0 in `gather`)
    int gather[6];   // unknown, or 0 where fixed
    Point point[kQuad];
  };
  std::vector<int> triangle;  // of each element
  std::vector<Element> elements;
};

/// Jacobian-based data of one triangle at one point: physical position, derivatives of the shapes, Jacobian.
struct ElementPoint {
  double x, y, jacobian;
  double dx[6], dy[6];  // ∂φ/∂x, ∂φ/∂y
  double value[6];
  double x1, x2, y1, y2;  // ∂x/∂l1, ∂x/∂l2 …

  /// (∂/∂x, ∂/∂y) of what has these derivatives in l1 and l2.
  Point gradient(double d1, double d2) const {
    return {(d1 * y2 - d2 * y1) / jacobian, (d2 * x1 - d1 * x2) / jacobian};
  }
};
ElementPoint element_point(const Mesh& mesh, int triangle, Barycentric at);

ElementTable tabulate(const Mesh& mesh, const Dofs& dofs, const std::vector<int>& triangles);

}  // namespace polepitch
