// The induction machine's circuit of one phase with constant elements: a stator branch, a magnetising reactance and one
// or two rotor cages (IEEE Std 112's circuit and its double-cage extension; memory). Fitted to fields by least squares.
// Everything in ohm per phase at `omega`; iron loss is left out.
#pragma once

#include <complex>
#include <vector>

namespace polepitch {

/// Terminal → R_1 + jX_1 → jX_m across jX_2 + (R_a/s + jX_a), the latter parallel to R_b/s + jX_b with two cages. With
/// X_2 = X_a = 0 it is the inverse-Γ form, whose elements terminals alone decide.
struct InductionCircuit {
  int cages = 1;
  int phases = 3, pole_pairs = 1;
  double omega = 0;  // rad/s, of the supply that the reactances are of
  double r_1 = 0, x_1 = 0, x_m = 0;
  double x_2 = 0;           // of both cages together
  double r_a = 0, x_a = 0;  // the only cage, or the branch without leakage of its own
  double r_b = 0, x_b = 0;  // the inner cage
};

struct CircuitPoint {
  std::complex<double> current;  // A, peak, against the terminal voltage
  double torque = 0;             // N m
};

/// At a slip other than 0, or at 0 with an open rotor; `voltage` [V] peak of a phase, real.
CircuitPoint circuit_at(const InductionCircuit& circuit, double slip, double voltage);

/// The same terminals with a stator leakage of `x_1`, between 0 and the inverse-Γ form's: which is stator's and which
/// rotor's leakage is a choice. Of circuits in inverse-Γ form.
InductionCircuit to_t_form(const InductionCircuit& inverse_gamma, double x_1);

/// Rotor cages straight across the magnetising reactance, the main one first (the lower resistance).
struct RotorBranch {
  double r = 0, x = 0;  // ohm per phase
};

/// The rotor beyond X_m as parallel branches R/s + jX without leakage in common: partial fractions of its admittance,
/// the same at every slip (docs/theory.md, eq. 35c). Throws std::invalid_argument for two cages without X_2 or X_b.
std::vector<RotorBranch> parallel_branches(const InductionCircuit& circuit);

/// A field at one slip.
struct FieldAtSlip {
  double slip = 0;
  std::complex<double> current;  // A, peak
  double torque = 0;             // N m
};

/// Inverse-Γ form with positive elements, R_1 as given: least squares of currents (each over its own size) and torques
/// (over the largest), by Levenberg and Marquardt's method in the elements' logarithms. `given`: cages, phases,
/// pole_pairs, omega, r_1. Throws std::invalid_argument for fewer points than three a cage.
InductionCircuit fit_circuit(const InductionCircuit& given, double voltage, const std::vector<FieldAtSlip>& points);

}  // namespace polepitch
