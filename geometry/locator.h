// Which triangle of a side holds a point, and where in it. Points of other sectors are folded back with their sign.
#pragma once

#include <vector>

#include "geometry/mesh.h"

namespace polepitch {

struct Located {
  int triangle = -1;      // −1: outside this side's mesh
  double l1 = 0, l2 = 0;  // of corners 1 and 2
  double sign = 1;        // of the sector's copy
  int copy = 0;           // how many sectors the point was turned back by
};

class Locator {
 public:
  Locator(const Section& section, const Mesh& mesh, Side side);
  /// `p` in the side's own frame. A point just outside a curved border gets the nearest triangle, if that is no further
  /// than `reach` in its reference coordinates.
  Located find(Point p, double reach = 0.02) const;

 private:
  /// How far outside the triangle, in its reference coordinates (≤ 0 inside).
  double outside_by(int triangle, Point p, Located& at) const;
  const Mesh& mesh_;
  double start_angle_ = 0, sector_angle_ = 0;
  int sign_ = 1, sectors_ = 1;
  Point low_;
  double cell_ = 1;
  int columns_ = 1, rows_ = 1;
  std::vector<std::vector<int>> cells_;
};

}  // namespace polepitch
