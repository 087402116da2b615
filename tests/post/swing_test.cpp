// Swing equation and periodic curve against closed forms (formulas in each test).
#include "post/swing.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

SwingInput sine_machine() {
  SwingInput in;
  in.torque = [](double delta) { return 100 * std::sin(delta); };
  in.inertia = 2;
  in.pole_pairs = 3;
  in.duration = 3;
  return in;
}

TEST(PeriodicCurve, PassesThroughItsPointsAndIsExactForFewOrders) {
  const auto f = [](double x) { return 3 + 2 * std::sin(x) - std::cos(3 * x) + 0.5 * std::sin(5 * x); };
  std::vector<double> values;
  for (int k = 0; k < 12; ++k) values.push_back(f(-pi + 2 * pi * k / 12));
  const PeriodicCurve curve(values);
  for (double x = -7; x < 7; x += 0.37) EXPECT_NEAR(curve.at(x), f(x), 1e-12);
}

TEST(PeriodicCurve, PassesThroughPointsOfAnyCurve) {
  const std::vector<double> values = {1, -2, 0.5, 7, 3, 3, -1};
  const PeriodicCurve curve(values);
  for (size_t k = 0; k < values.size(); ++k)
    EXPECT_NEAR(curve.at(-pi + 2 * pi * static_cast<double>(k) / 7), values[k], 1e-12);
}

/// formula: small oscillations about δ0 at ω² = p T'(δ0)/J.
TEST(Swing, SmallOscillationsHaveTheNaturalFrequency) {
  SwingInput in = sine_machine();
  const double rest = 0.5, omega = std::sqrt(3 * 100 * std::cos(rest) / 2);
  in.load = 100 * std::sin(rest);
  in.start_angle = rest + 1e-3;
  const Swing record = swing(in);
  ASSERT_FALSE(record.lost);
  for (size_t k = 0; k < record.time.size(); ++k)
    EXPECT_NEAR(record.angle[k], rest + 1e-3 * std::cos(omega * record.time[k]), 3e-5);
}

/// formula: J/(2p²) (dδ/dt)² + (1/p) ∫(T − T_L) dδ stays, here (1/p)(−100 cos δ − T_L δ).
TEST(Swing, KeepsItsEnergyWithoutDamping) {
  SwingInput in = sine_machine();
  in.load = 60;
  in.start_angle = 0;
  const Swing record = swing(in);
  ASSERT_GT(record.time.size(), 100u);
  const auto energy = [&](size_t k) {
    return 2 / 18.0 * record.slip_speed[k] * record.slip_speed[k] -
           (100 * std::cos(record.angle[k]) + 60 * record.angle[k]) / 3;
  };
  for (size_t k = 0; k < record.time.size(); ++k) EXPECT_NEAR(energy(k), energy(0), 1e-4);
}

/// formula (equal areas): from δ = 0 a load T_L of T_max holds while cos δ_m + (T_L/T_max) δ_m ≥ 1 can be met, which
/// ends at T_L/T_max = 0.72461 (sin δ_u = share, δ_u > 90°: 1 − cos δ_u = share · δ_u).
TEST(Swing, LosesSynchronismBeyondEqualAreas) {
  for (double share : {0.720, 0.729}) {
    SwingInput in = sine_machine();
    in.load = 100 * share;
    in.stop_angle = 2 * pi;
    in.duration = 20;
    EXPECT_EQ(swing(in).lost, share > 0.72461) << share;
  }
}

/// A generator is the motor's mirror image.
TEST(Swing, GeneratorMirrorsTheMotor) {
  SwingInput in = sine_machine();
  in.load = 105;
  in.start_angle = 0.3;
  const Swing motor = swing(in);
  in.load = -105;
  in.start_angle = -0.3;
  const Swing generator = swing(in);
  ASSERT_EQ(motor.angle.size(), generator.angle.size());
  EXPECT_NEAR(motor.angle.back(), -generator.angle.back(), 1e-9 * std::abs(motor.angle.back()));
  EXPECT_GT(motor.angle.back(), pi);  // a motor falls behind: U leads E ever more
}

}  // namespace
}  // namespace polepitch
