#include "solver/element_packs.h"

#include <algorithm>

namespace polepitch {

// ∇A = (e1 y2 − e2 y1, e2 x1 − e1 x2)/J, so G = (x2² + y2², −(x1 x2 + y1 y2), x1² + y1²)/J².
void set_point(const Mesh& mesh, int triangle, const QuadraturePoint& q, int lane, PackPoint& point) {
  const ElementPoint p = element_point(mesh, triangle, q.at);
  const double scale = 1 / (p.jacobian * p.jacobian);
  point.g11[lane] = scale * (p.x2 * p.x2 + p.y2 * p.y2);
  point.g12[lane] = -scale * (p.x1 * p.x2 + p.y1 * p.y2);
  point.g22[lane] = scale * (p.x1 * p.x1 + p.y1 * p.y1);
  point.weight[lane] = q.weight * p.jacobian;
}

std::vector<std::vector<int>> group_by_region(const std::vector<int>& region_of_place) {
  std::vector<int> order(region_of_place.size());
  for (size_t k = 0; k < order.size(); ++k) order[k] = static_cast<int>(k);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) { return region_of_place[a] < region_of_place[b]; });
  std::vector<std::vector<int>> packs;
  for (int place : order) {
    const bool fits = !packs.empty() && packs.back().size() < kLanes &&
                      region_of_place[packs.back().front()] == region_of_place[place];
    if (!fits) packs.emplace_back();
    packs.back().push_back(place);
  }
  return packs;
}

}  // namespace polepitch
