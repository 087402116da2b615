// What is inside the slots: wedge, layers, coil sides or bars, insulation around rectangular conductors.
#pragma once

#include <functional>

#include "geometry/slots.h"

namespace polepitch {

struct SlotFilling {
  int layers = 1;
  double split = 0.5;                                    // share of the body that the layer at the slot bottom takes
  std::function<Region(int slot, int layer)> coil_side;  // layer 0 lies at the slot bottom
};

/// A rectangular conductor must fit into a layer of that height.
void check_conductor(const SlotSite& site, const SlotOutline& outline, double layer_height, Faults& faults);

/// Divides the slots and labels each part.
void fill_slots(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, const std::vector<double>& axes,
                const SlotFilling& filling);

}  // namespace polepitch
