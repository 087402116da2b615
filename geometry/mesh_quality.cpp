#include "geometry/mesh_quality.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

/// Smallest Jacobian of a curved triangle over its nodes, relative to that of its straight corners: ≤ 0 is inside out.
double smallest_jacobian(const Mesh& mesh, const std::array<int, 6>& t) {
  constexpr double at[6][2] = {{0, 0}, {1, 0}, {0, 1}, {0.5, 0}, {0.5, 0.5}, {0, 0.5}};
  const auto jacobian = [&](double b, double c) {
    const double a = 1 - b - c;
    const double d1[6] = {1 - 4 * a, 4 * b - 1, 0, 4 * (a - b), 4 * c, -4 * c};
    const double d2[6] = {1 - 4 * a, 0, 4 * c - 1, -4 * b, 4 * b, 4 * (a - c)};
    Point u, v;
    for (int i = 0; i < 6; ++i) {
      const Point& p = mesh.nodes[t[i]];
      u.x += d1[i] * p.x, u.y += d1[i] * p.y;
      v.x += d2[i] * p.x, v.y += d2[i] * p.y;
    }
    return u.x * v.y - u.y * v.x;
  };
  const Point &a = mesh.nodes[t[0]], &b = mesh.nodes[t[1]], &c = mesh.nodes[t[2]];
  const double straight = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
  double smallest = 1;
  for (const auto& [x, y] : at) smallest = std::min(smallest, jacobian(x, y) / straight);
  return smallest;
}

}  // namespace

void straighten_inverted(Mesh& mesh) {
  bool changed = mesh.order == 2;
  while (changed) {  // a neighbour may need it next; every turn straightens a triangle for good
    changed = false;
    for (const auto& t : mesh.triangles) {
      if (smallest_jacobian(mesh, t) > 0.05) continue;
      for (int i = 0; i < 3; ++i) {
        const Point &a = mesh.nodes[t[i]], &b = mesh.nodes[t[(i + 1) % 3]];
        const Point middle = {0.5 * (a.x + b.x), 0.5 * (a.y + b.y)};
        Point& p = mesh.nodes[t[3 + i]];
        changed = changed || std::hypot(p.x - middle.x, p.y - middle.y) > 1e-12;
        p = middle;
      }
    }
  }
}

MeshQuality measure_quality(const Mesh& mesh) {
  MeshQuality q{M_PI, 0, 1};
  for (const auto& t : mesh.triangles) {
    const Point &a = mesh.nodes[t[0]], &b = mesh.nodes[t[1]], &c = mesh.nodes[t[2]];
    const double ab = std::hypot(a.x - b.x, a.y - b.y), bc = std::hypot(b.x - c.x, b.y - c.y),
                 ca = std::hypot(c.x - a.x, c.y - a.y);
    const double area2 = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
    const double shape = 4 * area2 * area2 / ((ab + bc + ca) * ab * bc * ca);
    // The smallest angle is acute, and asin gives an acute angle exactly (an obtuse one as its supplement, never
    // smaller).
    for (double angle : {area2 / (ab * ca), area2 / (ab * bc), area2 / (bc * ca)})
      q.smallest_angle = std::min(q.smallest_angle, std::asin(std::clamp(angle, -1.0, 1.0)));
    q.worst_shape = std::min(q.worst_shape, shape);
    q.mean_shape += shape / static_cast<double>(mesh.triangles.size());
  }
  return q;
}

}  // namespace polepitch
