// The core of a slotted rotor with all that is not in its slots.
#pragma once

#include <vector>

#include "geometry/slots.h"

namespace polepitch {

/// Gap circle, shaft, sector edges, slots at the axes, and the labels of core and air gap. The sector begins half a
/// slot pitch before the first axis.
void draw_rotor_core(const Plan& plan, SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                     const std::vector<double>& axes);

}  // namespace polepitch
