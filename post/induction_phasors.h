// The phasor diagram of an induction machine at one slip, by the same arrows as a load point's of a synchronous one.
#pragma once

#include "post/phasor_diagram.h"

namespace polepitch {

/// R.m.s. of a phase, current into the terminal; the rotor's current referred to the stator by its MMF, so that both
/// add up to the magnetising one.
struct InductionPhasors {
  std::complex<double> voltage, current, rotor_current;
  double resistance = 0, leakage = 0;  // ohm, of the stator
};

/// U = E + R_1 I + jX_1 I with the EMF E of the working wave, and I_m = I + I_2'.
PhasorDiagram induction_phasor_diagram(const InductionPhasors& at);

}  // namespace polepitch
