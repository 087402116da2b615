#include "geometry/mesh_limits.h"

#include <algorithm>

#include "geometry/size_field.h"

namespace polepitch {

Mesh limit_edges(const Section& section, Mesh mesh, const std::vector<double>& largest) {
  constexpr int kMostTurns = 4;     // a mesh follows its wanted sizes within some tenths
  constexpr double kAllowed = 1.2;  // over the limit, for single triangles
  for (int turn = 0; turn < kMostTurns && !largest.empty(); ++turn) {
    std::vector<double> factor(mesh.triangles.size(), 1.0);
    bool over = false;
    for (size_t e = 0; e < factor.size(); ++e) {
      const double limit = largest[static_cast<size_t>(mesh.region[e])];
      if (limit <= 0) continue;
      const double edge = edge_length(mesh, static_cast<int>(e));
      over = over || edge > kAllowed * limit;
      factor[e] = std::min(1.0, limit / edge);
    }
    if (!over) break;
    const WantedSizes wanted = wanted_sizes(mesh, factor, 1.0);
    MeshOptions options;
    options.second_order = mesh.order == 2;
    options.adapted = &wanted;
    mesh = mesh_section(section, options);
  }
  return mesh;
}

bool keeps_limits(const Mesh& mesh, const std::vector<double>& largest) {
  constexpr double kAllowed = 1.5;
  for (size_t e = 0; e < mesh.triangles.size() && !largest.empty(); ++e) {
    const double limit = largest[static_cast<size_t>(mesh.region[e])];
    if (limit > 0 && edge_length(mesh, static_cast<int>(e)) > kAllowed * limit) return false;
  }
  return true;
}

}  // namespace polepitch
