#include "solver/element_tables.h"

namespace polepitch {

ElementPoint element_point(const Mesh& mesh, int triangle, Barycentric at) {
  const auto& t = mesh.triangles[triangle];
  const ShapeValues s = shape_values(mesh.order, at);
  const int count = mesh.order == 2 ? 6 : 3;
  ElementPoint p{};
  for (int i = 0; i < count; ++i) {
    const Point& node = mesh.nodes[t[i]];
    p.x += s.value[i] * node.x;
    p.y += s.value[i] * node.y;
    p.x1 += s.d1[i] * node.x;
    p.x2 += s.d2[i] * node.x;
    p.y1 += s.d1[i] * node.y;
    p.y2 += s.d2[i] * node.y;
  }
  p.jacobian = p.x1 * p.y2 - p.x2 * p.y1;
  for (int i = 0; i < count; ++i) {
    p.value[i] = s.value[i];
    const Point slope = p.gradient(s.d1[i], s.d2[i]);
    p.dx[i] = slope.x;
    p.dy[i] = slope.y;
  }
  return p;
}

ElementTable tabulate(const Mesh& mesh, const Dofs& dofs, const std::vector<int>& triangles) {
  ElementTable table;
  table.triangle = triangles;
  table.elements.resize(triangles.size());
  const int count = mesh.order == 2 ? 6 : 3;
  for (size_t e = 0; e < triangles.size(); ++e) {
    ElementTable::Element& element = table.elements[e];
    const auto& t = mesh.triangles[triangles[e]];
    for (int i = 0; i < 6; ++i) {
      element.unknown[i] = i < count ? dofs.unknown[t[i]] : -1;
      element.gather[i] = element.unknown[i] < 0 ? 0 : element.unknown[i];
    }
    for (int q = 0; q < kQuad; ++q) {
      const ElementPoint p = element_point(mesh, triangles[e], kTriangleRule[q].at);
      ElementTable::Point& out = element.point[q];
      out.weight = kTriangleRule[q].weight * p.jacobian;
      for (int i = 0; i < 6; ++i) {
        const double sign = element.unknown[i] < 0 ? 0 : dofs.sign[t[i]];
        out.cx[i] = sign * p.dy[i];
        out.cy[i] = -sign * p.dx[i];
      }
    }
  }
  return table;
}

}  // namespace polepitch
