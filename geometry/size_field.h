// Wanted edge lengths over a former mesh of the same section: what an adapted mesh is made from.
#pragma once

#include <vector>

#include "geometry/mesh.h"

namespace polepitch {

/// Edge lengths at the corner nodes of `mesh` [m]; entries of mid-side nodes are not used.
struct WantedSizes {
  const Mesh* mesh = nullptr;
  std::vector<double> at_node;
};

/// From each triangle's edge length now, times its `factor`, to lengths at the nodes: the geometric mean of a node's
/// triangles, then limited so that no length grows faster than `growth` per distance.
WantedSizes wanted_sizes(const Mesh& mesh, const std::vector<double>& factor, double growth);

/// Edge of the equilateral triangle of the same area (of its straight corners).
double edge_length(const Mesh& mesh, int triangle);

/// Linear in between on one side; the nearest triangle serves points just outside.
class SizeField {
 public:
  SizeField(const WantedSizes& wanted, Side side);
  double at(double x, double y) const;
  /// Edges that divide an arc of the gap circle: ∫ ds / size, from `from` to `to` [rad, to > from].
  double edges(double radius, double from, double to) const;

 private:
  struct Corner {
    double x, y, size;
  };
  struct Triangle {
    Corner corner[3];
  };
  std::vector<Triangle> triangles_;
  Point low_;
  double cell_ = 1;
  int columns_ = 1, rows_ = 1;
  std::vector<std::vector<int>> cells_;
};

}  // namespace polepitch
