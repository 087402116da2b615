// The circuit's elements that reproduce a field at one slip exactly: what constant elements only fit.
#pragma once

#include <complex>

namespace polepitch {

/// Ohm per phase. T form R_1 + jX_1, jX_m, R_2/s + jX_2, and the same in inverse-Γ form R_1 + jX_σ, jX_M, R_R/s.
struct SlipElements {
  double slip = 0;
  double x_1 = 0, x_m = 0, r_2 = 0, x_2 = 0;
  double x_sigma = 0, x_M = 0, r_R = 0;
};

/// `impedance`: U/I of the field at this slip (not 0); R_1 and X_1 are the stator's, X_m that of the gap's EMF. What is
/// left is the rotor's branch, so that current and torque of the circuit are the field's.
SlipElements elements_at(double slip, std::complex<double> impedance, double r_1, double x_1, double x_m);

}  // namespace polepitch
