// The annulus' field on circles of equally spaced points, by a table of the unit circle: many points at once.
#pragma once

#include <vector>

#include "solver/gap_field.h"

namespace polepitch {

struct CircleSamples {
  double radius = 0;                              // m
  std::vector<double> a, b_radial, b_tangential;  // Wb/m, T; point k at angle 2πk/count, stator frame
};

/// `count` > 0 points over the whole circle; r between the two gap circles.
CircleSamples sample_circle(const GapField& gap, double r, int count);

}  // namespace polepitch
