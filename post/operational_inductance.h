// Operational inductances of a machine at rest from the modes of its field (solver/standstill_field.h): damper bars
// joined by their rings, field winding shorted or open (docs/theory.md, "Standstill frequency response"). Currents into
// the terminals; dq amplitude-invariant.
#pragma once

#include <complex>
#include <vector>

#include "solver/standstill_field.h"

namespace polepitch {

/// Joins the bars' ends: the piece of one ring behind each bar of the sector, to the next one. Isolated bars: no
/// pieces. Where a piece is missing (bars joined pole by pole) its `joined` is false.
struct RingPiece {
  bool joined = true;
  double resistance = 0, inductance = 0;  // ohm, H
};

struct StandstillCircuit {
  int phases = 3;
  int sectors = 1, sign = 1;
  double length = 0;                  // m
  double end_winding = 0;             // H per phase
  bool field = false;                 // the third source is the field winding
  double field_resistance = 0;        // ohm
  double field_end_inductance = 0;    // H
  std::vector<RingPiece> rings = {};  // one a bar, in their order; empty: isolated
};

/// At one s. λ_d = d i_d + g u_f with u_f the field winding's terminal voltage.
struct OperationalInductances {
  std::complex<double> d, q;    // H, field winding shorted over its resistance
  std::complex<double> d_open;  // H, field winding open
  std::complex<double> dq;      // H, λ_d by i_q, field winding shorted: 0 without load
  std::complex<double> af;      // H, λ_f by i_d, field winding open: m/2 times L_df
  std::complex<double> g;       // s, λ_d by u_f
};

/// `modes` have the sources 1 A of i_d, 1 A of i_q and, where circuit.field, 1 A of i_f.
OperationalInductances operational_inductances(const StandstillModes& modes, const StandstillCircuit& circuit,
                                               std::complex<double> s);

/// What flows at s with 1 A of i_d or of i_q and the field winding shorted: inputs of StandstillField::potential
/// (sources, then bars in V/m).
struct StandstillInputs {
  std::vector<std::complex<double>> d, q;
  /// The bars' part of one of them.
  static std::vector<std::complex<double>> gradient(const std::vector<std::complex<double>>& input, int sources) {
    return {input.begin() + sources, input.end()};
  }
};
StandstillInputs standstill_inputs(const StandstillModes& modes, const StandstillCircuit& circuit,
                                   std::complex<double> s);

}  // namespace polepitch
