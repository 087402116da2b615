// Circuits of IEEE Std 1110 fitted to operational inductances (docs/theory.md, "Standstill frequency response").
#pragma once

#include "post/axis_circuit.h"

namespace polepitch {

/// What was computed or measured of one axis, on the stator's side.
struct AxisResponse {
  double leakage = 0;                            // H, L_l as stated
  double synchronous = 0;                        // H, L(0): kept exactly
  double field_resistance = 0;                   // ohm, R_fd; 0: the axis has no field winding
  std::vector<double> omega;                     // rad/s
  std::vector<std::complex<double>> inductance;  // H, L(jω)
  std::vector<std::complex<double>> transfer;    // jω G(jω) of the field winding; empty without one
};

struct AxisStructure {
  int circuits = 1;      // of the rotor, the field winding included
  bool unequal = false;  // with L_f1d, which may have either sign
};

struct AxisFit {
  AxisStructure structure;
  AxisCircuit circuit;
  std::vector<std::complex<double>> residual;  // (L_fit − L)/|L|, one a frequency
  double deviation = 0;                        // root of the mean square of `residual`
  double worst = 0;                            // largest |residual|
  double transfer_deviation = 0;               // root of the mean square of jω(G_fit − G); 0 without field winding
};

/// Least squares of L, each value over its own size, and of jωG (whose size is below 1), by Levenberg and Marquardt's
/// method in the logarithms of the elements, so that all but L_f1d stay positive; from several starts. The field
/// winding's resistance is held. Circuits fall in their order of time constants; a field winding comes first. Throws
/// std::invalid_argument for lists of unequal length, or a synchronous inductance that is not over the leakage.
AxisFit fit_axis(const AxisResponse& response, const AxisStructure& structure);

/// The chosen one of the fits: fewest circuits whose deviation is at most `enough`, of as many circuits with L_f1d
/// where it halves the deviation or more; where there is none, the one that deviates least.
size_t choose_structure(const std::vector<AxisFit>& fits, double enough);

}  // namespace polepitch
