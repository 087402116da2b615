// The circuit model of a run: parameters of its `reactances` and `frequency-response` studies and its flux maps,
// gathered from the results.
#pragma once

#include "cases/case.h"
#include "geometry/section.h"
#include "post/circuit_model.h"
#include "post/results.h"

namespace polepitch {

/// Empty where no such study was run. Beside the studies' reactances of a wound rotor: L_ff, and with the field's
/// resistance R_fd (on the stator's side of the reciprocal base) and T'_do (docs/theory.md, eq. 35b).
CircuitModel circuit_model(const Case& kase, const Section& section, const Results& results);

}  // namespace polepitch
