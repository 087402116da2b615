#include "post/area_points.h"

#include <gtest/gtest.h>

#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

// Formula: the element's map of a quadratic arc; the area under chord and parabola is 2/3 of base times height.
TEST(AreaPoints, CurvedSideAddsItsSegment) {
  Mesh mesh;
  mesh.nodes = {{0, 0}, {1, 0}, {0, 1}, {0.5, -0.1}, {0.5, 0.5}, {0, 0.5}};
  mesh.triangles = {{0, 1, 2, 3, 4, 5}};
  double area = 0;
  for (const AreaPoint& e : area_points(mesh, 0)) area += e.area;
  EXPECT_NEAR(area, 0.5 + 2.0 / 3 * 0.1, 1e-14);
}

// Formula: ∫ x⁴ over the unit triangle = 4!/6! (degree 4 is exact).
TEST(AreaPoints, DegreeFourIsExact) {
  Mesh mesh;
  mesh.order = 1;
  mesh.nodes = {{0, 0}, {1, 0}, {0, 1}};
  mesh.triangles = {{0, 1, 2, -1, -1, -1}};
  double sum = 0;
  for (const AreaPoint& e : area_points(mesh, 0)) sum += e.area * std::pow(e.point.x, 4);
  EXPECT_NEAR(sum, 24.0 / 720, 1e-14);
}

}  // namespace
}  // namespace polepitch
