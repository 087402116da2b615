// One flux barrier of a reluctance rotor: its outline, as an arc or as three straight pieces.
#pragma once

#include <string>
#include <vector>

#include "geometry/pole_parts.h"

namespace polepitch {

/// The barrier across the x axis (the q-axis of its pole), ends on the circle `end_radius`; SI, rad.
struct FluxBarrier {
  bool straight = false;
  double end_radius = 0;
  double top = 0, bottom = 0;  // x of its outer and inner edge on the axis
  double end_angle = 0;        // where the outer edge ends
  double leg_angle = 0;        // of the straight legs against the axis
  double half_rib = 0;         // 0: no rib
};

/// What the barrier's span makes impossible; empty: it can be drawn.
std::string why_not_drawable(const FluxBarrier& barrier);
/// One part, or two beside the rib; `number` counts the barriers from the outside.
std::vector<PolePart> barrier_parts(const FluxBarrier& barrier, int number);
/// Where the inner edge ends.
double far_end_angle(const FluxBarrier& barrier);
/// The outer or inner edge beside the axis: on it, or at the rib.
Point on_axis(const FluxBarrier& barrier, bool outer);

std::vector<Parameter> reluctance_parameters();

}  // namespace polepitch
