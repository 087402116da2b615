#include "post/element_points.h"

namespace polepitch {

namespace {

constexpr double near_a = 0.445948490915965, weight_a = 0.223381589678011;
constexpr double near_b = 0.091576213509771, weight_b = 0.109951743655322;
constexpr double rule[element_point_count][3] = {
    {near_a, near_a, weight_a}, {1 - 2 * near_a, near_a, weight_a}, {near_a, 1 - 2 * near_a, weight_a},
    {near_b, near_b, weight_b}, {1 - 2 * near_b, near_b, weight_b}, {near_b, 1 - 2 * near_b, weight_b}};

struct Shape {
  double n, d1, d2;  // value, derivative to l1, derivative to l2
};

/// Shape functions of `order` (1 or 2) in Gmsh's node order.
int shapes(int order, double l1, double l2, std::array<Shape, 6>& s) {
  const double l0 = 1 - l1 - l2;
  if (order == 1) {
    s[0] = {l0, -1, -1};
    s[1] = {l1, 1, 0};
    s[2] = {l2, 0, 1};
    return 3;
  }
  s[0] = {l0 * (2 * l0 - 1), 1 - 4 * l0, 1 - 4 * l0};
  s[1] = {l1 * (2 * l1 - 1), 4 * l1 - 1, 0};
  s[2] = {l2 * (2 * l2 - 1), 0, 4 * l2 - 1};
  s[3] = {4 * l0 * l1, 4 * (l0 - l1), -4 * l1};
  s[4] = {4 * l1 * l2, 4 * l2, 4 * l1};
  s[5] = {4 * l2 * l0, -4 * l2, 4 * (l0 - l2)};
  return 6;
}

}  // namespace

ElementPoints element_points(const Mesh& mesh, int triangle) {
  ElementPoints points;
  std::array<Shape, 6> s;
  for (int i = 0; i < element_point_count; ++i) {
    ElementPoint& out = points[i];
    out.l1 = rule[i][0];
    out.l2 = rule[i][1];
    const int count = shapes(mesh.order, out.l1, out.l2, s);
    double x1 = 0, x2 = 0, y1 = 0, y2 = 0;
    for (int k = 0; k < count; ++k) {
      const Point& node = mesh.nodes[mesh.triangles[triangle][k]];
      out.point.x += s[k].n * node.x;
      out.point.y += s[k].n * node.y;
      x1 += s[k].d1 * node.x;
      x2 += s[k].d2 * node.x;
      y1 += s[k].d1 * node.y;
      y2 += s[k].d2 * node.y;
    }
    out.area = 0.5 * rule[i][2] * (x1 * y2 - x2 * y1);
  }
  return points;
}

}  // namespace polepitch
