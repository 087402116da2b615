// The explicit coil table of a case: rows [from_slot, to_slot, phase], slots counted from 1 counter-clockwise, phase
// 1 … m, negative for a reversed coil. Positive phase current flows along +z in from_slot and returns in to_slot.
#pragma once

#include <vector>

#include "geometry/winding.h"

namespace polepitch {

/// Adds the sides of the table to `layout` (whose phases, slots and layers are set). A coil's first side takes the
/// layer at the opening and its second side the one at the bottom while these are free. Faults are added to
/// `diagnostics`, all of them, in the words of the case file.
void read_coil_table(const IntegerTable& rows, const Place& place, WindingLayout& layout,
                     std::vector<Diagnostic>& diagnostics);

}  // namespace polepitch
