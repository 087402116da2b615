// How long an edge of the mesh should be at a point: short at the gap, growing away from it, shorter at corners, thin
// bridges and short curves. One number (density) scales it everywhere.
#pragma once

#include <vector>

#include "geometry/section.h"

namespace polepitch {

class SizeMap {
 public:
  SizeMap(const Section& section, Side side, double density);
  double at(double x, double y) const;  // m
  /// Edges that divide a curve of the gap circle of this length [m], never fewer than one.
  int gap_edges(double length) const;

 private:
  struct Feature {
    double x, y, size;
  };
  double base(double x, double y) const;
  void add(Point p, double size);
  void prune();
  void add_features(const Section& section, Side side);

  double gap_radius_ = 0, gap_size_ = 0, largest_ = 0, density_ = 1;
  std::vector<Feature> features_;
};

}  // namespace polepitch
