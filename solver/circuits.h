// Circuits of stator phases and field winding, as loops (solver/transient_field.h): star, star with neutral and delta,
// behind the lines' own resistance and inductance; line switches open or closed.
#pragma once

#include <functional>
#include <vector>

#include "geometry/section.h"
#include "solver/transient_field.h"

namespace polepitch {

struct StatorCircuit {
  enum class Connection { star, star_with_neutral, delta } connection = Connection::star;
  double resistance = 0, inductance = 0;                  // ohm, H per phase: of the winding, beside the field's
  double line_resistance = 0, line_inductance = 0;        // ohm, H in each line
  double neutral_resistance = 0, neutral_inductance = 0;  // ohm, H
  std::vector<bool> closed;                               // per line; empty: all are
  /// V of each line's source against its neutral; none: the lines are joined there.
  std::function<std::vector<double>(double)> source = {};
};

struct FieldCircuit {
  double resistance = 0, inductance = 0;  // ohm, H: of winding and supply
  double voltage = 0;                     // V, held
};

/// Phases of a wound rotor in star: its winding and what stands between its slip rings.
struct RotorCircuit {
  double resistance = 0, inductance = 0;  // ohm, H per phase
};

/// Line sources U cos(ωt + phase − p α_k), α_k the phases' axes; peak values.
std::function<std::vector<double>(double)> balanced_source(const Section& section, double voltage, double omega,
                                                           double phase);

/// Loops of the stator first, then of the field winding and of a wound rotor's phases (where the section has them). One
/// closed line of an isolated star carries nothing, one of a delta no more than the current round the delta does.
Circuits machine_circuits(const Section& section, const StatorCircuit& stator, const FieldCircuit& field,
                          const RotorCircuit& rotor = {});

/// Currents of the loops that carry these currents of phases and field winding [A, one per branch]; those of a star
/// without neutral must sum to 0 (least squares).
std::vector<double> loop_currents(const Circuits& circuits, const std::vector<double>& branches);

/// Full rings over the section's bars: one common ring, or with separate rings one of each cage.
BarRing full_ring(const Section& section, const CageEnds& ends);

}  // namespace polepitch
