// Mass of what the section shows, per the stack length.
#pragma once

#include "geometry/section.h"
#include "solver/material.h"

namespace polepitch {

/// All regions of a role on a side, whole machine [kg]; laminated cores count with the stacking factor. 0 when the role
/// does not occur or a material states no density.
double mass_of(const Section& section, const Materials& materials, Side side, Role role);

}  // namespace polepitch
