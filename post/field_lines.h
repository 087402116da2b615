// Lines of equal value and areas above a value on a triangulation with values at its nodes, linear in between. The
// lines of equal A are the flux lines of a 2-D field.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "geometry/section.h"

namespace polepitch {

struct Triangulation {
  std::vector<Point> nodes;
  std::vector<std::array<int, 3>> triangles;  // counter-clockwise; neighbours share node numbers
};

struct Polyline {
  std::vector<Point> points;
  bool closed = false;  // the last point joins the first; not repeated
};

/// One set of lines per level; a line ends only at the border of the triangulation. Higher values lie on its left.
std::vector<std::vector<Polyline>> level_lines(const Triangulation& mesh, std::span<const double> values,
                                               std::span<const double> levels);

/// Edges without a neighbour: bit e of entry t is set when edge e (nodes e and e+1) of triangle t lies on the border.
std::vector<unsigned char> border_edges(const Triangulation& mesh);

/// Closed loops around {value ≥ level}, interior on the left: non-zero filling paints the area.
std::vector<Polyline> area_above(const Triangulation& mesh, std::span<const unsigned char> border,
                                 std::span<const double> values, double level);

/// Levels at equal steps between the extremes of the values, half a step from either: equal flux between neighbours.
/// Empty when the values are constant. `step` receives the distance.
std::vector<double> equal_steps(std::span<const double> values, int count, double* step = nullptr);

}  // namespace polepitch
