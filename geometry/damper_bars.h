// Round damper bars in the shoes of salient poles, in slots that are open to the gap or closed.
#pragma once

#include <vector>

#include "geometry/salient_pole.h"

namespace polepitch {

/// The bars of the pole on the x axis; none: `centres` is empty.
struct DamperBars {
  std::vector<Point> centres;
  double radius = 0;
  double depth = 0;         // iron (or slot) between bar and face
  double opening_half = 0;  // 0: closed
};

DamperBars damper_bars(const Machine& machine, const PoleShape& shape);
std::vector<Parameter> damper_parameters();
std::vector<Parameter> damper_ring_parameters();
/// Bars within the shoe and apart from one another.
void check_damper_bars(const Machine& machine, double bore_radius, Faults& faults);
/// Bars, their openings and a branch for each.
void draw_damper_bars(const Plan& plan, SideDrawing& drawing, const PoleShape& shape, double axis, int pole);

}  // namespace polepitch
