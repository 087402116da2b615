#include "tests/physics/full_machine_helper.h"

#include <cmath>
#include <numbers>

namespace polepitch::test {
namespace {

Region copied(Region region, double turned, bool opposite) {
  region.seed = {region.seed.x * std::cos(turned) - region.seed.y * std::sin(turned),
                 region.seed.x * std::sin(turned) + region.seed.y * std::cos(turned)};
  region.magnetisation.direction += turned + (opposite ? std::numbers::pi : 0);
  if (opposite) {
    region.turns *= -1;
    region.magnetisation.sign *= -1;
  }
  return region;
}

/// Copies one side's nodes and triangles; node[k][n] is node n of copy k.
void copy_side(const Section& section, const Mesh& mesh, Side side, FullMachine& full) {
  const bool stator = side == Side::stator;
  const int first = stator ? 0 : mesh.stator_nodes,
            last = stator ? mesh.stator_nodes : static_cast<int>(mesh.nodes.size());
  const int copies = section.sectors;
  std::vector<int> master(mesh.nodes.size(), -1);
  for (const NodePair& p : mesh.pairs) master[p.slave] = p.master;
  std::vector<std::vector<int>> node(copies, std::vector<int>(mesh.nodes.size(), -1));
  for (int k = 0; k < copies; ++k)
    for (int n = first; n < last; ++n) {
      if (master[n] == n && k > 0) node[k][n] = node[0][n];  // the machine's axis
      if (node[k][n] >= 0 || (master[n] >= 0 && master[n] != n)) continue;
      const double turned = k * section.sector_angle(), co = std::cos(turned), si = std::sin(turned);
      const Point p = mesh.nodes[n];
      node[k][n] = static_cast<int>(full.mesh.nodes.size());
      full.mesh.nodes.push_back({p.x * co - p.y * si, p.x * si + p.y * co});
    }
  for (int k = 0; k < copies; ++k)
    for (int n = first; n < last; ++n)
      if (node[k][n] < 0) node[k][n] = node[(k + 1) % copies][master[n]];

  const int regions = static_cast<int>(section.regions.size());
  const int from = stator ? 0 : mesh.stator_triangles;
  const int to = stator ? mesh.stator_triangles : static_cast<int>(mesh.triangles.size());
  for (int k = 0; k < copies; ++k)
    for (int t = from; t < to; ++t) {
      std::array<int, 6> triangle = mesh.triangles[t];
      for (int& n : triangle) n = node[k][n];
      full.mesh.triangles.push_back(triangle);
      full.mesh.region.push_back(k * regions + mesh.region[t]);
    }
  const auto join = [&](const TraceCircle& circle) {
    TraceCircle whole{circle.radius, {}};
    for (int k = 0; k < copies; ++k)
      for (size_t i = 0; i + 1 < circle.nodes.size(); ++i) whole.nodes.push_back(node[k][circle.nodes[i]]);
    if (!whole.nodes.empty()) whole.nodes.push_back(whole.nodes.front());
    return whole;
  };
  const int i = static_cast<int>(side);
  full.mesh.gap[i] = join(mesh.gap[i]);
  full.mesh.far[i] = join(mesh.far[i]);
}

}  // namespace

FullMachine copy_round(const Section& section, const Mesh& mesh) {
  FullMachine full{section, {}};
  full.section.regions.clear();
  for (int k = 0; k < section.sectors; ++k)
    for (const Region& region : section.regions)
      full.section.regions.push_back(copied(region, k * section.sector_angle(), section.sign < 0 && k % 2 == 1));
  full.section.sectors = full.section.sign = 1;
  if (section.inner == FarBoundary::zero) full.section.inner = FarBoundary::floating;
  full.mesh.order = mesh.order;
  full.mesh.quality = mesh.quality;
  copy_side(section, mesh, Side::stator, full);
  full.mesh.stator_nodes = static_cast<int>(full.mesh.nodes.size());
  full.mesh.stator_triangles = static_cast<int>(full.mesh.triangles.size());
  copy_side(section, mesh, Side::rotor, full);
  return full;
}

}  // namespace polepitch::test
