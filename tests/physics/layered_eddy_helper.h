// Fields of concentric rings that turn under a winding shell, each space harmonic by itself: Bessel's equation in the
// solid rings integrated from the axis outwards, powers of r elsewhere. Independent of mesh, elements and the program's
// annulus (formula: A'' + A'/r − (n²/r² + jωμσ) A = −μ J).
#pragma once

#include <complex>
#include <vector>

namespace polepitch::test {

struct Ring {
  double outer = 0;  // m
  double mu_r = 1, conductivity = 0;
};

struct Zone {
  double centre = 0;                     // rad
  std::complex<double> current_density;  // A/m2, peak
};

struct LayeredMachine {
  std::vector<Ring> rotor;                  // from the axis outwards
  double shell_inner = 0, shell_outer = 0;  // m, winding shell; the gap lies between rotor and shell
  double steel_outer = 0, steel_mu_r = 1;   // ring outside of the shell, then unbounded air
  double zone_width = 0;                    // rad
  std::vector<Zone> zones;
};

struct LayeredResult {
  double torque = 0;                                 // N m per metre
  std::vector<double> loss;                          // W per metre, each ring
  std::vector<std::complex<double>> zone_potential;  // Wb/m, mean A over each zone, peak
};

/// `omega` [rad/s] of the currents, `speed` [rad/s] of the rotor; odd orders of both senses up to `largest`: what is
/// left falls with n^-5, and rounding grows with (shell_outer/shell_inner)^n.
LayeredResult layered_field(const LayeredMachine& machine, double omega, double speed, int largest = 41);

}  // namespace polepitch::test
