// Coil sides in the slots of a stator sector.
#pragma once

#include "geometry/slots.h"

namespace polepitch {

/// Wedge, layers and conductors must fit into the body.
void check_layers(const Machine& machine, const SlotOutline& outline, Faults& faults);

/// Divides the slots into wedge and layers and labels each with its coil side; without a winding they are air.
void fill_stator_slots(const Plan& plan, SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                       const std::vector<double>& axes);

/// The region of a coil side: its branch and signed turns, or air where there is none.
Region coil_side_region(const Plan& plan, const SideDrawing& drawing, int slot, int layer);

}  // namespace polepitch
