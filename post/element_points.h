// Points and weights for integrals over the elements of a mesh, on the isoparametric geometry.
#pragma once

#include <array>

#include "geometry/mesh.h"

namespace polepitch {

struct ElementPoint {
  double l1 = 0, l2 = 0;  // barycentric coordinates of corners 1 and 2
  Point point;            // m, in the side's own frame
  double area = 0;        // m2 that the point stands for; the six add to the element's area
};

/// Dunavant's symmetric rule of degree 4 (Int. J. Numer. Methods Eng. 21, 1985).
inline constexpr int element_point_count = 6;
using ElementPoints = std::array<ElementPoint, element_point_count>;
ElementPoints element_points(const Mesh& mesh, int triangle);

}  // namespace polepitch
