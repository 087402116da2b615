// Coil sides of the stator winding as regions.
#pragma once

#include "geometry/slot_filling.h"

namespace polepitch {

/// Height of the lower of the layers in which the winding lies.
double smallest_layer(const Machine& machine, const SlotOutline& outline);

/// Layers and coil sides of the plan's winding; without a winding the slots are air.
SlotFilling winding_filling(const Plan& plan, const SideDrawing& drawing);

/// The region of a coil side: its branch and signed turns, or air where there is none.
Region coil_side_region(const Plan& plan, const SideDrawing& drawing, int slot, int layer);

}  // namespace polepitch
