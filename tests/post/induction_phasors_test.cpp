// The chain of voltages closes, and both currents sum to the magnetising one (formula).
#include "post/induction_phasors.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// U = 230 V, I = 50 A lagging 30°, R_1 = 0.2, X_1 = 0.5 Ω, I_2' = −(40 A lagging 5°); the voltage turned by 70°.
TEST(InductionPhasors, ChainAndSum) {
  constexpr double degree = 3.14159265358979323846 / 180;
  const Complex turn = std::polar(1.0, 70 * degree);
  const PhasorDiagram d = induction_phasor_diagram(
      {230.0 * turn, std::polar(50.0, -30 * degree) * turn, -std::polar(40.0, -5 * degree) * turn, 0.2, 0.5});
  ASSERT_EQ(d.arrows.size(), 7u);
  EXPECT_FALSE(d.q_axis.has_value());
  const auto &u = d.arrows[0], &e = d.arrows[1], &r = d.arrows[2], &x = d.arrows[3];
  EXPECT_NEAR(std::abs(u.value - 230.0), 0, 1e-12);
  EXPECT_NEAR(std::abs(r.from - e.value), 0, 1e-12);
  EXPECT_NEAR(std::abs(x.from + x.value - u.value), 0, 1e-12);
  EXPECT_NEAR(e.value.real(), 230 - 10 * std::cos(30 * degree) - 25 * std::sin(30 * degree), 1e-12);
  EXPECT_NEAR(e.value.imag(), 10 * std::sin(30 * degree) - 25 * std::cos(30 * degree), 1e-12);
  EXPECT_NEAR(std::abs(d.arrows[6].value - (std::polar(50.0, -30 * degree) - std::polar(40.0, -5 * degree))), 0, 1e-12);
  EXPECT_NEAR(std::abs(d.arrows[5].from + d.arrows[5].value - d.arrows[6].value), 0, 1e-12);
}

}  // namespace
}  // namespace polepitch
