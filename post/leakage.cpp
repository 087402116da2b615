#include "post/leakage.h"

#include <cmath>
#include <map>

#include "post/area_points.h"

namespace polepitch {

namespace {

/// Angle of the centroid of all coil sides of each slot of the sector.
std::map<int, double> slot_centroids(const Section& section, const Mesh& mesh) {
  std::map<int, Point> moment;
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const Region& region = section.regions[mesh.region[t]];
    if (region.role != Role::winding || region.side != Side::stator) continue;
    Point& m = moment[region.slot];
    for (const AreaPoint& e : area_points(mesh, static_cast<int>(t))) {
      m.x += e.area * e.point.x;
      m.y += e.area * e.point.y;
    }
  }
  std::map<int, double> angles;
  for (const auto& [slot, m] : moment) angles[slot] = std::atan2(m.y, m.x);
  return angles;
}

/// The slot axis of the winding's layout nearest to an angle: the centroid of a meshed slot misses it by the mesh.
double snapped(const WindingLayout& layout, double angle) {
  if (layout.slots <= 0) return angle;
  const double pitch = 2 * pi / layout.slots;
  return layout.slot0_angle + pitch * std::round((angle - layout.slot0_angle) / pitch);
}

void add_gap_orders(const GapField& gap, int pole_pairs, double angle, double turns, LinkageParts& parts) {
  const double r = gap.mean_radius();
  for (const GapHarmonic& harmonic : gap.harmonics) {
    const double a = (gap.potential_order(r, harmonic.order) * std::polar(1.0, harmonic.order * angle)).real();
    (harmonic.order == pole_pairs ? parts.magnetising : parts.differential) += turns * a;
  }
}

LinkageParts projected(const std::vector<LinkageParts>& phases, const std::vector<double>& weights) {
  LinkageParts sum;
  for (std::size_t k = 0; k < phases.size(); ++k) sum = sum + weights[k] * phases[k];
  return sum;
}

}  // namespace

LinkageParts operator*(double factor, const LinkageParts& parts) {
  return {factor * parts.slot, factor * parts.tooth_tip, factor * parts.differential, factor * parts.magnetising};
}

LinkageParts operator+(const LinkageParts& a, const LinkageParts& b) {
  return {a.slot + b.slot, a.tooth_tip + b.tooth_tip, a.differential + b.differential, a.magnetising + b.magnetising};
}

std::vector<CoilSideAxis> coil_side_axes(const StaticField& field) {
  const Section& section = field.section();
  const std::map<int, double> centroids = slot_centroids(section, field.mesh());
  std::vector<CoilSideAxis> axes;
  for (std::size_t i = 0; i < section.regions.size(); ++i) {
    const Region& region = section.regions[i];
    if (region.role != Role::winding || region.side != Side::stator || region.branch < 0) continue;
    const auto centroid = centroids.find(region.slot);
    if (centroid == centroids.end()) continue;
    axes.push_back({static_cast<int>(i), snapped(section.winding, centroid->second)});
  }
  return axes;
}

std::vector<LinkageParts> split_linkages(const StaticField& field, const StaticSolution& solution) {
  const Section& section = field.section();
  const double scale = section.length * section.sectors;
  const double bore = section.stator_radius, mean = solution.gap.mean_radius();
  std::vector<LinkageParts> phases(phase_count(section));
  for (const CoilSideAxis& side : coil_side_axes(field)) {
    const Region& region = section.regions[side.region];
    LinkageParts& parts = phases[region.branch];  // phases come first among the branches
    const double turns = scale * region.turns;
    const Point mouth{bore * std::cos(side.angle), bore * std::sin(side.angle)};
    const double at_mouth = field.potential(solution, Side::stator, mouth);
    parts.slot += turns * (field.mean_potential(solution, side.region) - at_mouth);
    parts.tooth_tip += turns * (at_mouth - solution.gap.potential(mean, side.angle));
    add_gap_orders(solution.gap, section.pole_pairs, side.angle, turns, parts);
  }
  return phases;
}

DqLinkageParts split_linkages_dq(const StaticField& field, const StaticSolution& solution) {
  const Section& section = field.section();
  const std::vector<LinkageParts> phases = split_linkages(field, solution);
  const std::vector<double> axes = phase_axes(section);
  const double theta_e = section.pole_pairs * solution.rotor_angle;
  std::vector<double> d(axes.size()), q(axes.size());
  for (std::size_t k = 0; k < axes.size(); ++k) {
    d[k] = 2.0 / static_cast<double>(axes.size()) * std::cos(theta_e - axes[k]);
    q[k] = -2.0 / static_cast<double>(axes.size()) * std::sin(theta_e - axes[k]);
  }
  return {projected(phases, d), projected(phases, q)};
}

}  // namespace polepitch
