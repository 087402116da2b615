#include "post/slip_elements.h"

namespace polepitch {

SlipElements elements_at(double slip, std::complex<double> impedance, double r_1, double x_1, double x_m) {
  using Complex = std::complex<double>;
  const Complex rotor = 1.0 / (1.0 / (impedance - Complex{r_1, x_1}) - 1.0 / Complex{0, x_m});
  SlipElements e{slip, x_1, x_m, slip * rotor.real(), rotor.imag(), 0, 0, 0};
  const double ratio = x_m / (x_m + e.x_2);  // of the turns by which the rotor is referred
  e.x_M = ratio * x_m;
  e.x_sigma = x_1 + x_m - e.x_M;
  e.r_R = ratio * ratio * e.r_2;
  return e;
}

}  // namespace polepitch
