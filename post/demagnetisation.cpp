#include "post/demagnetisation.h"

#include <algorithm>
#include <cmath>

#include "post/area_points.h"

namespace polepitch {

namespace {

// Field strength along the magnetisation, over the knee field.
double reached_at(const StaticField& field, const StaticSolution& solution, int triangle, const AreaPoint& at,
                  const Magnetisation& m, double knee) {
  const StaticField::Vector h = field.field_strength(solution, triangle, at.l1, at.l2);
  if (m.pattern == Magnetisation::Pattern::parallel)
    return (h.x * std::cos(m.direction) + h.y * std::sin(m.direction)) / knee;
  return m.sign * (h.x * at.point.x + h.y * at.point.y) / std::hypot(at.point.x, at.point.y) / knee;
}

struct ValueOfArea {
  double value = 0, area = 0;
};

// Linear between the middles of the areas that the sorted values stand for.
double value_below_which(const std::vector<ValueOfArea>& sorted, double area) {
  double middle = 0, before = 0;
  for (std::size_t k = 0; k < sorted.size(); ++k) {
    const double here = middle + 0.5 * sorted[k].area;
    if (here >= area && k > 0)
      return sorted[k - 1].value + (sorted[k].value - sorted[k - 1].value) * (area - before) / (here - before);
    before = here;
    middle += sorted[k].area;
  }
  return sorted.empty() ? 0 : sorted.back().value;
}

// Calls `visit(triangle, region, knee)` for the triangles of magnets.
template <class Visit>
void each_magnet_triangle(const StaticField& field, const std::vector<double>& knees, Visit visit) {
  const Mesh& mesh = field.mesh();
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const int region = mesh.region[t];
    if (const double knee = knees[static_cast<std::size_t>(region)]; knee < 0) visit(static_cast<int>(t), region, knee);
  }
}

}  // namespace

std::optional<std::vector<double>> knee_fields(const Section& section, const Materials& materials, double kelvin) {
  std::vector<double> knees(section.regions.size(), 0.0);
  bool any = false;
  for (std::size_t i = 0; i < knees.size(); ++i) {
    const Region& region = section.regions[i];
    if (region.magnetisation.pattern == Magnetisation::Pattern::none) continue;
    const std::optional<double> knee = materials.at(region.material).knee_field_at(kelvin);
    if (!knee || *knee >= 0) return std::nullopt;
    knees[i] = *knee;
    any = true;
  }
  if (!any) return std::nullopt;
  return knees;
}

Demagnetisation demagnetisation(const StaticField& field, const StaticSolution& solution,
                                const std::vector<double>& knees) {
  Demagnetisation result;
  double past = 0, all = 0, largest = -1e300;
  std::vector<ValueOfArea> values;
  each_magnet_triangle(field, knees, [&](int triangle, int region, double knee) {
    const Magnetisation& m = field.section().regions[static_cast<std::size_t>(region)].magnetisation;
    for (const AreaPoint& at : area_points(field.mesh(), triangle)) {
      const double reached = reached_at(field, solution, triangle, at, m, knee);
      all += at.area;
      if (reached > 1) past += at.area;
      values.push_back({reached, at.area});
      if (reached <= largest) continue;
      largest = reached;
      result.worst_region = region;
    }
  });
  result.share = all > 0 ? past / all : 0;
  std::sort(values.begin(), values.end(), [](const auto& a, const auto& b) { return a.value < b.value; });
  for (const double beyond : {0.005, 0.01, 0.015, 0.02})
    result.reached_near.push_back(value_below_which(values, (1 - beyond) * all));
  result.reached = result.reached_near[1];
  return result;
}

std::vector<int> demagnetised_triangles(const StaticField& field, const StaticSolution& solution,
                                        const std::vector<double>& knees) {
  std::vector<int> found;
  each_magnet_triangle(field, knees, [&](int triangle, int region, double knee) {
    const Mesh& mesh = field.mesh();
    const auto& nodes = mesh.triangles[static_cast<std::size_t>(triangle)];
    AreaPoint middle{1.0 / 3, 1.0 / 3, {}, 0};
    for (int i = 0; i < 3; ++i) {
      middle.point.x += mesh.nodes[static_cast<std::size_t>(nodes[i])].x / 3;
      middle.point.y += mesh.nodes[static_cast<std::size_t>(nodes[i])].y / 3;
    }
    const Magnetisation& m = field.section().regions[static_cast<std::size_t>(region)].magnetisation;
    if (reached_at(field, solution, triangle, middle, m, knee) > 1) found.push_back(triangle);
  });
  return found;
}

}  // namespace polepitch
