// Elements at one slip, back from a circuit's impedance, in both forms.
#include "post/slip_elements.h"

#include <gtest/gtest.h>

#include "post/induction_circuit.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// Published elements (Chapman, Electric Machinery Fundamentals: 460 V, 60 Hz, R_1 0.641, X_1 1.106, R_2 0.332, X_2
/// 0.464, X_m 26.3 Ω): the impedance at any slip gives R_2 and X_2 back, and the inverse-Γ form has the same terminals.
TEST(SlipElements, GiveBackTheCircuit) {
  InductionCircuit c;
  c.omega = 377, c.pole_pairs = 2;
  c.r_1 = 0.641, c.x_1 = 1.106, c.x_m = 26.3, c.x_2 = 0.464, c.r_a = 0.332;
  for (double slip : {1.0, 0.2, 0.022, -0.03}) {
    const Complex impedance = 375.6 / circuit_at(c, slip, 375.6).current;
    const SlipElements e = elements_at(slip, impedance, c.r_1, c.x_1, c.x_m);
    EXPECT_NEAR(e.r_2, 0.332, 1e-11) << slip;
    EXPECT_NEAR(e.x_2, 0.464, 1e-9) << slip;
    const Complex rotor = 1.0 / (1.0 / Complex{0, e.x_M} + slip / e.r_R);
    EXPECT_NEAR(std::abs(Complex{c.r_1, e.x_sigma} + rotor - impedance), 0, 1e-10) << slip;
  }
}

}  // namespace
}  // namespace polepitch
