// Points and weights for integrals over the elements of a mesh, on the isoparametric geometry.
#pragma once

#include <array>

#include "geometry/mesh.h"

namespace polepitch {

struct AreaPoint {
  double l1 = 0, l2 = 0;  // barycentric coordinates of corners 1 and 2
  Point point;            // m, in the side's own frame
  double area = 0;        // m2 that the point stands for; the six add to the element's area
};

/// The places and weights of solver/triangle.h.
inline constexpr int area_point_count = 6;
using AreaPoints = std::array<AreaPoint, area_point_count>;
AreaPoints area_points(const Mesh& mesh, int triangle);

}  // namespace polepitch
