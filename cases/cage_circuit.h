// Circuits of constant elements fitted to a slip curve, and how far they are from the field at slips that the fit did
// not see.
#pragma once

#include <vector>

#include "cases/cage_supply.h"
#include "post/induction_circuit.h"

namespace polepitch {

/// What a fit is given: phases, pole pairs, ω and R_1.
InductionCircuit circuit_frame(const Section& section, const CageSupply& supply);

/// Adds elements, deviations and the curve "circuit" to the result, for one and for two cages where there are enough
/// motoring points; every second one is fitted. `points` by falling slip; `given` as in fit_circuit, voltage [V] peak.
void add_circuits(StudyResult& result, const StudyContext& context, InductionCircuit given, double voltage,
                  const std::vector<FieldAtSlip>& points);

}  // namespace polepitch
