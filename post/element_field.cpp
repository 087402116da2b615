#include "post/element_field.h"

#include "solver/triangle.h"

namespace polepitch {
namespace {

constexpr std::array<Barycentric, 6> at_nodes{{{0, 0}, {1, 0}, {0, 1}, {0.5, 0}, {0.5, 0.5}, {0, 0.5}}};

std::array<ShapeValues, 6> table(int order) {
  std::array<ShapeValues, 6> shapes;
  for (std::size_t i = 0; i < 6; ++i) shapes[i] = shape_values(order, at_nodes[i]);
  return shapes;
}

}  // namespace

ElementField element_flux_density(const Mesh& mesh, std::span<const double> a, int triangle) {
  static const std::array<ShapeValues, 6> tables[] = {table(1), table(2)};
  const auto& nodes = mesh.triangles[static_cast<std::size_t>(triangle)];
  const std::size_t count = mesh.order == 1 ? 3 : 6;
  ElementField field;
  for (std::size_t i = 0; i < count; ++i) {
    const ShapeValues& s = tables[mesh.order == 1 ? 0 : 1][i];
    double x1 = 0, y1 = 0, a1 = 0, x2 = 0, y2 = 0, a2 = 0;
    for (std::size_t j = 0; j < count; ++j) {
      const auto n = static_cast<std::size_t>(nodes[j]);
      x1 += s.d1[j] * mesh.nodes[n].x, y1 += s.d1[j] * mesh.nodes[n].y, a1 += s.d1[j] * a[n];
      x2 += s.d2[j] * mesh.nodes[n].x, y2 += s.d2[j] * mesh.nodes[n].y, a2 += s.d2[j] * a[n];
    }
    const double det = x1 * y2 - x2 * y1;
    field.x[i] = (x1 * a2 - x2 * a1) / det;   // ∂A/∂y
    field.y[i] = -(y2 * a1 - y1 * a2) / det;  // −∂A/∂x
  }
  return field;
}

}  // namespace polepitch
