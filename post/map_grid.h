// The grid of currents of a flux map: what its lines tell about the error between them, and where to add lines.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "post/flux_map.h"

namespace polepitch {

using MapCurrents = std::array<double, 3>;  // i_d, i_q, i_f

struct MapGrid {
  std::vector<double> i_d, i_q, i_f;  // A, peak in dq; ascending; i_f {0} without field winding

  size_t size() const { return i_d.size() * i_q.size() * i_f.size(); }
};

/// Values at one point.
struct MapValues {
  double lambda_d = 0, lambda_q = 0, lambda_f = 0, torque = 0;
};

/// `count` values from first to last, 0 among them exactly where it is one.
std::vector<double> equal_lines(double first, double last, int count);

MapGrid grid_of(const FluxMap& map);
/// The currents of a grid point; and the point of these currents, none where they are on no crossing of lines.
MapCurrents currents_at(const FluxMap& map, size_t index);
std::optional<size_t> index_in(const FluxMap& map, const MapCurrents& currents);
MapValues values_at(const FluxMap& map, size_t index);
void put(FluxMap& map, size_t index, const MapValues& values);
/// Zeros on a grid.
FluxMap zero_map(const MapGrid& grid);

/// Largest differences of linkages and torque, over the map's largest linkage (λ_f: its own largest) and torque.
struct MapError {
  double linkage = 0, torque = 0;
  double worst() const { return linkage > torque ? linkage : torque; }
};

/// Between the map and the truth at some points.
MapError map_error(const FluxMap& map, const std::vector<MapCurrents>& points, const std::vector<MapValues>& truth);

/// Of every line of an axis (0 i_d, 1 i_q, 2 i_f): how far the map without it and every second neighbour misses it,
/// worst of linkages and torque. 0 at the ends; with two lines 1, since they tell nothing.
std::vector<double> line_errors(const FluxMap& map, size_t axis);

/// Lines added where the map's error, `excess` (over 1) times what is wanted, comes from: in the middle of intervals
/// whose lines' errors are above the largest one's over `excess`. Halving an interval divides a smooth map's error
/// by 16.
MapGrid finer_grid(const FluxMap& map, double excess);

}  // namespace polepitch
