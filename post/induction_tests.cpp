#include "post/induction_tests.h"

#include <cmath>
#include <stdexcept>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// Rotor branch R_2 + jX_2 (at the locked test's frequency) that is left for this X_1.
Complex rotor_branch(double x_1, double x_0, const Complex& impedance, double r_1, double scale) {
  const Complex inside = impedance - Complex{r_1, scale * x_1};
  return 1.0 / (1.0 / inside - 1.0 / Complex{0, scale * (x_0 - x_1)});
}

}  // namespace

TestedCircuit circuit_of_tests(const TestPoint& no_load, const TestPoint& locked, double r_1, double ratio) {
  const double x_0 = no_load.reactance(), scale = locked.frequency / no_load.frequency;
  const Complex impedance = locked.voltage / locked.current;
  const auto excess = [&](double x_1) {  // of rotor leakage over what the ratio wants; falls with X_1
    return rotor_branch(x_1, x_0, impedance, r_1, scale).imag() / scale - x_1 / ratio;
  };
  double low = 0, high = impedance.imag() / scale;
  if (!(high > 0 && high < x_0 && impedance.real() > r_1) || excess(low) < 0 || excess(high) > 0)
    throw std::invalid_argument("circuit_of_tests: no circuit of positive elements has these impedances");
  for (int k = 0; k < 200 && high - low > 1e-15 * x_0; ++k) {
    const double middle = 0.5 * (low + high);
    (excess(middle) > 0 ? low : high) = middle;
  }
  TestedCircuit c;
  c.x_1 = 0.5 * (low + high);
  c.x_2 = c.x_1 / ratio;
  c.x_m = x_0 - c.x_1;
  c.r_2 = rotor_branch(c.x_1, x_0, impedance, r_1, scale).real();
  return c;
}

double friction_by_intercept(const std::vector<double>& voltage, const std::vector<double>& power) {
  const auto count = static_cast<double>(voltage.size());
  double x = 0, y = 0, xx = 0, xy = 0;
  for (size_t k = 0; k < voltage.size(); ++k) {
    const double square = voltage[k] * voltage[k];
    x += square, y += power[k], xx += square * square, xy += square * power[k];
  }
  return (y * xx - x * xy) / (count * xx - x * x);
}

}  // namespace polepitch
