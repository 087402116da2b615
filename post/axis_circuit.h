// One axis of a synchronous machine as a circuit: leakage, magnetising inductance, rotor circuits (IEEE Std 1110
// structures; docs/theory.md, "Standstill frequency response"). Everything on the stator's side of the reciprocal base.
#pragma once

#include <complex>
#include <string>
#include <vector>

namespace polepitch {

struct RotorCircuit {
  double inductance = 0, resistance = 0;  // H, ohm
};

/// L_l, then L_m across, then `series` (L_f1d, what links all rotor circuits and not the stator) before the rotor
/// circuits in parallel. On the d-axis of a wound rotor the first circuit is the field winding.
struct AxisCircuit {
  double leakage = 0, magnetising = 0, series = 0;  // H
  std::vector<RotorCircuit> rotor;

  double synchronous() const { return leakage + magnetising; }
  /// L(s) with every rotor circuit closed.
  std::complex<double> inductance(std::complex<double> s) const;
  /// s G(s) of rotor circuit `k`: its current over that of the stator, against it, while it is shorted.
  std::complex<double> transfer(std::complex<double> s, int k = 0) const;
};

/// Time constants, the largest first, and the inductances that follow one another as the rotor's currents die away: 1/L
/// after a step of voltage is 1/synchronous + Σ_k a_k e^{−t/T_k}; L_k = 1/(1/synchronous + a_1 + … + a_k), so that the
/// first is the transient and the last the subtransient one (IEC 60034-4-1's oscillogram). One rotor circuit: one each.
struct AxisConstants {
  std::vector<double> open, closed;  // s, stator open and shorted (without resistance)
  std::vector<double> inductance;    // H
};
AxisConstants axis_constants(const AxisCircuit& circuit);

/// Relations between elements and reactances of IEC 61970-302: circuit k's time constant with the later ones left out
/// (T'_do = (L_ad + L_fd)/R_fd), and the inductance with the first k circuits as ideal conductors. They take the time
/// constants of successive circuits as far apart.
AxisConstants axis_constants_by_relations(const AxisCircuit& circuit);

}  // namespace polepitch
