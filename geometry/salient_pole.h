// The dimensions of a salient pole, its parameters and what can be wrong with them.
#pragma once

#include <vector>

#include "geometry/drawing.h"

namespace polepitch {

/// The pole on the x axis: x along the pole axis, y across it, metres from the machine axis.
struct PoleShape {
  double face_radius = 0, face_centre = 0;  // arc of the face, its centre on the axis
  double tip_outer = 0, tip_inner = 0;      // x of the tip's outer and inner corner
  double shoe_half = 0, body_half = 0;      // y
  double neck = 0;                          // x where the underside of the shoe meets the body
  double foot = 0;                          // x where the body meets the yoke's circle
  double yoke_radius = 0, shaft_radius = 0;
  double insulation = 0, coil_width = 0;  // around and across the coil side
  double coil_foot = 0, coil_top = 0;     // x of the copper
};

PoleShape pole_shape(const Machine& machine, double bore_radius);
std::vector<Parameter> salient_pole_parameters();
void check_salient_pole(const Machine& machine, double bore_radius, Faults& faults);

}  // namespace polepitch
