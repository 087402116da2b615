// The circuit that no-load and locked-rotor tests give: back from a circuit's own impedances, and a textbook's example.
#include "post/induction_tests.h"

#include <gtest/gtest.h>

#include <stdexcept>

#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

struct Elements {
  double r_1, x_1, r_2, x_2, x_m;
};

/// At 60 Hz times `scale`; the rotor branch open without slip.
TestPoint measured(const Elements& e, double slip, double scale) {
  Complex inner{0, scale * e.x_m};
  if (slip != 0) {
    const Complex rotor{e.r_2 / slip, scale * e.x_2};
    inner = inner * rotor / (inner + rotor);
  }
  return {100, 100.0 / (Complex{e.r_1, scale * e.x_1} + inner), 60 * scale};
}

/// The published elements of a 460 V, 60 Hz motor (Chapman, Electric Machinery Fundamentals): their two tests give them
/// back, at rated and at a quarter of the frequency. 1e-9: the equations are solved exactly.
TEST(InductionTests, GiveBackTheCircuitThatWasMeasured) {
  const Elements e{0.641, 1.106, 0.332, 0.464, 26.3};
  for (double scale : {1.0, 0.25}) {
    const TestedCircuit c = circuit_of_tests(measured(e, 0, 1), measured(e, 1, scale), e.r_1, e.x_1 / e.x_2);
    EXPECT_NEAR(c.x_1, e.x_1, 1e-9);
    EXPECT_NEAR(c.x_2, e.x_2, 1e-9);
    EXPECT_NEAR(c.x_m, e.x_m, 1e-8);
    EXPECT_NEAR(c.r_2, e.r_2, 1e-9);
  }
}

/// A textbook's tests of a 208 V, 60 Hz, four-pole motor of design A (same book, memory): R_1 0.243 Ω; no load 208 V,
/// 8.17 A, 420 W; locked 25 V, 27.9 A, 920 W at 15 Hz. It finds X_1 = X_2 = 0.67, X_m = 14.03, R_2 = 0.151 Ω, without
/// X_m across the locked rotor, which leaves X_2/X_m, 4.8 %, in X and twice that and rounding in R_2 (10.5 %), and with
/// U/I of no load for its reactance, 1 % too much beside a twentieth of X_1, 0.3 %.
TEST(InductionTests, TextbooksExample) {
  const auto point = [](double line, double current, double power, double frequency) {
    const double volts = line / std::sqrt(3.0), r = power / (3 * current * current);
    const double x = std::sqrt(std::pow(volts / current, 2) - r * r);
    return TestPoint{volts, volts / Complex{r, x}, frequency};
  };
  const TestedCircuit c = circuit_of_tests(point(208, 8.17, 420, 60), point(25, 27.9, 920, 15), 0.243, 1);
  const std::string source = "S. J. Chapman, Electric Machinery Fundamentals, worked example of both tests (memory)";
  test::record_check("X_1 from no-load and locked-rotor tests", c.x_1, 0.67, 0.05 * 0.67, "ohm", source,
                     test::kPublished);
  test::record_check("X_m from no-load and locked-rotor tests", c.x_m, 14.03, 0.015 * 14.03, "ohm", source,
                     test::kPublished);
  test::record_check("R_2 from no-load and locked-rotor tests", c.r_2, 0.151, 0.105 * 0.151, "ohm", source,
                     test::kPublished);
}

TEST(InductionTests, NoPositiveCircuitIsRefused) {
  const Elements e{0.641, 1.106, 0.332, 0.464, 26.3};
  EXPECT_THROW(circuit_of_tests(measured(e, 0, 1), measured(e, 1, 1), 2, 1), std::invalid_argument);
  EXPECT_THROW(circuit_of_tests(measured(e, 1, 1), measured(e, 0, 1), 0.641, 1), std::invalid_argument);
}

/// formula: 40 W and 3e-4 W/V² lie on the line.
TEST(InductionTests, FrictionIsWhatIsLeftAtNoVoltage) {
  std::vector<double> voltage = {50, 100, 180, 220}, power;
  for (double v : voltage) power.push_back(40 + 3e-4 * v * v);
  EXPECT_NEAR(friction_by_intercept(voltage, power), 40, 1e-9);
}

}  // namespace
}  // namespace polepitch
