#include "post/area_points.h"

#include "solver/element_tables.h"

namespace polepitch {

AreaPoints area_points(const Mesh& mesh, int triangle) {
  static_assert(area_point_count == kTriangleRule.size());
  AreaPoints points;
  for (int i = 0; i < area_point_count; ++i) {
    const QuadraturePoint& rule = kTriangleRule[i];
    const ElementPoint p = element_point(mesh, triangle, rule.at);
    points[i] = {rule.at.l1, rule.at.l2, {p.x, p.y}, rule.weight * p.jacobian};
  }
  return points;
}

}  // namespace polepitch
