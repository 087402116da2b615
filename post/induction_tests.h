// The circuit of an induction machine from its no-load and locked-rotor tests (IEEE Std 112 and IEC 60034-28, memory):
// what terminals show, with the standard's stated ratio of both leakages. Reactances of these tests are not those of a
// field's split.
#pragma once

#include <complex>
#include <vector>

namespace polepitch {

/// Of a phase, r.m.s. or peak alike.
struct TestPoint {
  std::complex<double> voltage, current;
  double frequency = 0;                                             // Hz
  double resistance() const { return (voltage / current).real(); }  // P/(m I²)
  double reactance() const { return (voltage / current).imag(); }   // Q/(m I²)
};

struct TestedCircuit {
  double x_1 = 0, x_2 = 0, x_m = 0;  // ohm at the no-load test's frequency
  double r_2 = 0;                    // ohm, as in the locked-rotor test
};

/// At synchronous speed X_1 + X_m = X_0; with the rotor locked the whole circuit, X_m across the rotor included, has
/// the measured impedance. `ratio`: X_1/X_2. Throws std::invalid_argument where no positive elements do so.
TestedCircuit circuit_of_tests(const TestPoint& no_load, const TestPoint& locked, double r_1, double ratio);

/// Friction and windage from no-load tests at several voltages (IEEE Std 112, memory): what is left of power less
/// copper loss at no voltage, on the straight line by least squares over the squares of the voltages. Two points at
/// least.
double friction_by_intercept(const std::vector<double>& voltage, const std::vector<double>& power);

}  // namespace polepitch
