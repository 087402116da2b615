// Centre and outline of a drawn region, from its loops.
#pragma once

#include "geometry/section.h"

namespace polepitch {

/// Centre of area [m], in the side's own frame; exact, arcs are arcs.
Point centre_of_area(const Section& section, const Region& region);

/// Length of the outer loop [m], arcs are arcs.
double outline_length(const Section& section, const Region& region);

}  // namespace polepitch
