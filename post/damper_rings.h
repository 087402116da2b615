// What joins the ends of damper bars, from the rotor's parameters.
#pragma once

#include "geometry/machine.h"
#include "geometry/section.h"
#include "post/operational_inductance.h"
#include "solver/material.h"

namespace polepitch {

/// One piece behind each damper bar of the sector, in the order of the regions (that of StandstillModes): straight from
/// the bar's centre to the next one's, the last to the first of the next sector. Resistance l/(σ A) of the bars'
/// material, 0 where the ring's height and width are not given; inductance as stated for a metre. Empty: not joined.
std::vector<RingPiece> damper_rings(const Section& section, const Machine& machine, const Materials& materials,
                                    double temperature);

/// Faults between the ring's parameters: one of height and width alone.
void check_damper_rings(const Machine& machine, std::vector<Diagnostic>& faults);

}  // namespace polepitch
