// Concentric test machines drawn by hand, independent of the catalogue: rings cut into equal segments, each a region.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "geometry/mesh.h"
#include "solver/static_field.h"

namespace polepitch::test {

struct RingMachine {
  std::vector<double> rotor_radii;   // ascending; the last is the rotor's surface, or the first of one outside
  std::vector<double> stator_radii;  // ascending; the first is the bore, or the last the surface of one inside
  int segments = 12;                 // over the whole circle
  int sectors = 1, sign = 1, pole_pairs = 1;
  double length = 1;
  FarBoundary outer = FarBoundary::zero;
  FarBoundary inner = FarBoundary::zero;
  double rotor_start = 0;  // rad, of the rotor's first segment
  /// Fills in material, magnetisation, branch, turns of the region of ring `ring` (0 = innermost of the side) and
  /// segment.
  std::function<void(Side side, int ring, int segment, double middle_angle, Region&)> dress;
  std::vector<Branch> branches;
};

/// The gap is cut in thirds as draw_section does. The innermost radius must be above 0 (a shaft circle).
Section draw_rings(const RingMachine& machine);

/// "air" and "iron" (linear, mu_r 1e9) and "magnet" (given remanence and mu_r).
Materials ring_materials(double remanence, double mu_r);

/// Slope of log(error) against log(h), least squares; h = 1/sqrt(elements).
double fitted_rate(const std::vector<double>& elements, const std::vector<double>& errors);

/// Keeps errors with the running test's results.
void record_errors(const std::string& what, const std::vector<double>& errors);

}  // namespace polepitch::test
