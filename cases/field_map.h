// Flux maps solved on the field: means over rotor positions at the points of a grid of currents, and grids refined
// until what lies between their points is known well enough.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "cases/study.h"
#include "post/map_grid.h"

namespace polepitch {

struct MapRequest {
  MapGrid grid;
  int positions = 12;         // over one ripple period
  double accuracy = 1e-3;     // of the largest linkage and of the largest torque, between the points
  size_t most_points = 3000;  // grid points beyond which no line is added
};

struct FieldMap {
  FluxMap map;
  MapError error;
  size_t off_grid = 0;  // points of the error
  size_t solved = 0;    // points of the map that were solved on the study's mesh
};

/// Throws InputError for machines that have no map: without stator winding, or with a cage, whose currents a field at
/// rest does not know. `what` is "a flux map".
void check_map_machine(const Section& section, const Block& study, const std::string& what);
bool has_magnets(const Section& section);

/// Means at each of the points; neighbours in the list start from each other, at the rotor position they share.
std::vector<MapValues> solve_map_points(StudyContext& context, const std::vector<MapCurrents>& points, int positions,
                                        double from, double to);

/// Means at every point of the grid. Points that `known` holds are taken from there. Without magnets the field of −i is
/// that of i with the sign changed: such pairs are solved once.
FluxMap solve_flux_map(StudyContext& context, const MapGrid& grid, int positions, const FluxMap* known = nullptr,
                       double from = 0, double to = 1);

/// `count` points inside the grid, the same for the same grid's ends (seeded), none on its lines.
std::vector<MapCurrents> points_off_grid(const MapGrid& grid, size_t count);

/// The map on the grid asked for, with lines added (finer_grid) until 10 points off the grid agree within the accuracy:
/// a rough field's map on many lines, and on few lines what the study's own field differs from it (docs/theory.md,
/// "Flux maps"). On the finer mesh the lines, and the rough map, are the coarser one's.
FieldMap refined_flux_map(StudyContext& context, const MapRequest& request, double to = 1);

}  // namespace polepitch
