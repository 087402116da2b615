// What single and double cages share: where the bars lie, their end rings, how they are drawn.
#pragma once

#include <string>
#include <vector>

#include "geometry/slots.h"

namespace polepitch {

SlotSite cage_site(const Machine& machine, double bore_radius);

/// Dimensions of an end ring, and resistance and inductance of one ring's piece between neighbouring bars in their
/// stead; names begin with `prefix` ("" or "outer_"), `whose` is said in the sentences ("an end ring").
std::vector<Parameter> ring_parameters(const std::string& prefix, const std::string& whose);

/// All three dimensions of the rings, or none.
void check_rings(const Machine& machine, const std::string& prefix, Faults& faults);

/// Slots that fit the core.
void check_cage(const Machine& machine, double bore_radius, Faults& faults);

/// `materials` of the bars from the slot bottom, one or two a slot; `split` as in SlotFilling.
void draw_cage(const Plan& plan, SideDrawing& drawing, const std::vector<std::string>& materials, double split);

}  // namespace polepitch
