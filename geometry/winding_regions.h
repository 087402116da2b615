// Coil sides of stator and rotor windings as regions.
#pragma once

#include "geometry/slot_filling.h"

namespace polepitch {

/// Height of the lower of the layers in which the winding ([winding] or [rotor.winding]) lies.
double smallest_layer(const Block& winding, const SlotOutline& outline);

/// Layers and coil sides of the plan's winding on the drawing's side; without a winding the slots are air.
SlotFilling winding_filling(const Plan& plan, const SideDrawing& drawing);

/// The region of a coil side: its branch and signed turns, or air where there is none.
Region coil_side_region(const Plan& plan, const SideDrawing& drawing, int slot, int layer);

}  // namespace polepitch
