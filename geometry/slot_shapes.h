// The slot shapes of the catalogue, and what several of them share.
#pragma once

#include <string>

#include "geometry/slots.h"

namespace polepitch {

const SlotType& trapezoidal_slot();
const SlotType& closed_trapezoidal_slot();
const SlotType& rectangular_open_slot();
const SlotType& round_bottom_slot();
const SlotType& round_slot();
const SlotType& closed_round_slot();
const SlotType& double_slot();
const SlotType& drawn_slot();

/// Half widths of a body between two depths, from width_top and width_bottom or from tooth_width.
struct BodyWidths {
  double top = 0, bottom = 0;
  std::string top_parameter, bottom_parameter;
};
BodyWidths body_widths(const SlotSite& site, double top, double bottom, Faults& faults);

/// The opening must not be wider than the body below it.
void check_opening(const SlotSite& site, double opening_half, const OutlinePoint& body, Faults& faults);

}  // namespace polepitch
