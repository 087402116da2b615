// Circuits of constant elements fitted to a slip curve, and how far they are from the field at slips that the fit did
// not see.
#pragma once

#include <vector>

#include "cases/study.h"
#include "post/induction_circuit.h"

namespace polepitch {

/// Adds elements, deviations and the curve "circuit" to the result, for one and for two cages where there are enough
/// motoring points; every second one is fitted. `points` by falling slip; `given` as in fit_circuit, voltage [V] peak.
void add_circuits(StudyResult& result, const StudyContext& context, InductionCircuit given, double voltage,
                  const std::vector<FieldAtSlip>& points);

}  // namespace polepitch
