// Expected: closed forms of a machine with constant inductances (S. Morimoto and others, IEEE Trans. Ind. Appl. 26(5),
// 1990; memory), whose linear map every spline holds exactly; each stands in its test.
#include "post/operating_limits.h"

#include <gtest/gtest.h>

#include <cmath>

#include "solver/bh_curve.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr double lambda_m = 0.1, p = 4, m = 3;

/// λ_d = λ_m + L_d i_d, λ_q = L_q i_q; T = (m/2) p (λ_d i_q − λ_q i_d).
FluxMap linear_map(double magnet, double l_d, double l_q, double largest) {
  FluxMap map;
  map.pole_pairs = 4;
  for (int k = 0; k < 5; ++k) {
    map.i_d.push_back(-largest + 0.5 * largest * k);
    map.i_q.push_back(-largest + 0.5 * largest * k);
  }
  map.i_f = {0};
  for (double q : map.i_q)
    for (double d : map.i_d) {
      map.lambda_d.push_back(magnet + l_d * d);
      map.lambda_q.push_back(l_q * q);
      map.torque.push_back(0.5 * m * p * ((magnet + l_d * d) * q - l_q * q * d));
    }
  map.lambda_f.assign(map.size(), 0.0);
  return map;
}

const std::string kSource = "closed form of constant inductances";

TEST(LimitedOperation, MostTorquePerAmpereOfASalientMagnetMachine) {
  const double l_d = 0.5e-3, l_q = 1.2e-3, current = 90;
  const FluxMapSurface map(linear_map(lambda_m, l_d, l_q, 120));
  const LimitedOperation machine(map, {.current = 100, .voltage = 200}, true);
  // i_d = [λ_m − √(λ_m² + 8 (L_q − L_d)² I²)]/[4 (L_q − L_d)].
  const double d = l_q - l_d,
               i_d = (lambda_m - std::sqrt(lambda_m * lambda_m + 8 * d * d * current * current)) / (4 * d);
  const LimitedPoint point = machine.most_torque_per_ampere(current);
  // An angle found by comparing torques near their maximum is known to the root of rounding.
  test::record_check("i_d of most torque per ampere", point.i_d, i_d, 1e-4, "A", kSource, test::kClosedForm);
  const double i_q = std::sqrt(current * current - i_d * i_d);
  test::record_check("most torque per ampere", point.torque, 0.5 * m * p * (lambda_m * i_q - d * i_d * i_q), 1e-9,
                     "N m", kSource, test::kClosedForm);
}

TEST(LimitedOperation, FieldWeakeningMeetsBothLimits) {
  const double l = 1e-3, current = 80, voltage = 100, omega = 1100;
  const FluxMapSurface map(linear_map(lambda_m, l, l, 120));
  const LimitedOperation machine(map, {.current = current, .voltage = voltage}, true);
  // Without saliency most torque per ampere has i_d = 0: base ω = U/√(λ_m² + (L I)²).
  test::record_check("base frequency", machine.base_omega(), voltage / std::hypot(lambda_m, l * current), 1e-4, "rad/s",
                     kSource, test::kClosedForm);
  // Both limits: i_d = [(U/ω)² − λ_m² − (L I)²]/(2 L λ_m).
  const double i_d =
      (std::pow(voltage / omega, 2) - std::pow(lambda_m, 2) - std::pow(l * current, 2)) / (2 * l * lambda_m);
  const std::optional<LimitedPoint> point = machine.most_torque(omega);
  ASSERT_TRUE(point.has_value());
  test::record_check("i_d of field weakening", point->i_d, i_d, 1e-4, "A", kSource, test::kClosedForm);
  test::record_check("most torque in field weakening", point->torque,
                     0.5 * m * p * lambda_m * std::sqrt(current * current - i_d * i_d), 1e-4, "N m", kSource,
                     test::kClosedForm);
  EXPECT_LE(point->voltage, voltage * (1 + 1e-8));
}

/// λ_m < L I: past a speed the current limit no longer binds; i_d = −λ_m/L, i_q = U/(ωL).
TEST(LimitedOperation, MostTorquePerVolt) {
  const double l = 2e-3, omega = 3000, voltage = 100;
  const FluxMapSurface map(linear_map(lambda_m, l, l, 120));
  const LimitedOperation machine(map, {.current = 100, .voltage = voltage}, true);
  const std::optional<LimitedPoint> point = machine.most_torque(omega);
  ASSERT_TRUE(point.has_value());
  test::record_check("most torque inside the current limit", point->torque,
                     0.5 * m * p * lambda_m * voltage / (omega * l), 1e-6, "N m", kSource, test::kClosedForm);
  EXPECT_NEAR(point->i_d, -lambda_m / l, 1e-2);
  EXPECT_LT(point->current(), 100);
}

TEST(LimitedOperation, PastTheLargestSpeedThereIsNothing) {
  const FluxMapSurface map(linear_map(lambda_m, 1e-3, 1e-3, 120));
  const LimitedOperation machine(map, {.current = 50, .voltage = 100}, true);
  // Formula: the least linkage is λ_m − L I = 0.05 Wb.
  EXPECT_TRUE(machine.most_torque(100 / 0.0501).has_value());
  EXPECT_FALSE(machine.most_torque(100 / 0.0499).has_value());
}

TEST(LimitedOperation, ReluctanceMachineAtFortyFiveDegrees) {
  const FluxMapSurface map(linear_map(0, 20e-3, 5e-3, 20));
  const LimitedOperation machine(map, {.current = 10, .voltage = 300, .resistance = 0.5}, false);
  const LimitedPoint point = machine.most_torque_per_ampere(10);
  // (m/2) p (L_d − L_q) I²/2 sin 2β, largest at 45°.
  test::record_check("reluctance torque at most torque per ampere", point.torque, 0.5 * m * p * 15e-3 * 50, 1e-9, "N m",
                     kSource, test::kClosedForm);
  EXPECT_NEAR(point.angle(), pi / 4, 1e-6);
  // u = R i + jωλ at the base frequency, by hand; the angle is known to the root of rounding.
  const double w = machine.base_omega(), i = 10 / std::sqrt(2.0);
  EXPECT_NEAR(std::hypot(0.5 * i - w * 5e-3 * i, 0.5 * i + w * 20e-3 * i), 300, 1e-4);
}

TEST(LimitedOperation, LeastCurrentOfATorque) {
  const FluxMapSurface map(linear_map(lambda_m, 1e-3, 1e-3, 120));
  const LimitedOperation machine(map, {.current = 80, .voltage = 100}, true);
  const double torque = 0.5 * m * p * lambda_m * 40;  // i_q = 40 A
  const std::optional<LimitedPoint> slow = machine.least_current(torque, 100);
  ASSERT_TRUE(slow.has_value());
  EXPECT_NEAR(slow->current(), 40, 1e-6);
  EXPECT_NEAR(slow->torque, torque, 1e-9 * torque);
  // In field weakening i_q stays and i_d = [√((U/ω)² − (L i_q)²) − λ_m]/L.
  const double omega = 1200, i_d = (std::sqrt(std::pow(100 / omega, 2) - std::pow(0.04, 2)) - lambda_m) / 1e-3;
  const std::optional<LimitedPoint> fast = machine.least_current(torque, omega);
  ASSERT_TRUE(fast.has_value());
  EXPECT_NEAR(fast->i_d, i_d, 1e-4);
  EXPECT_FALSE(machine.least_current(0.5 * m * p * lambda_m * 81, 100).has_value());
}

/// Little torque far above the base speed: the current that weakens the field stays, i_q all but vanishes.
TEST(LimitedOperation, NoTorqueAtAHighSpeedStillTakesCurrent) {
  const FluxMapSurface map(linear_map(lambda_m, 1e-3, 1e-3, 120));
  const LimitedOperation machine(map, {.current = 80, .voltage = 100}, true);
  const double omega = 2000;  // formula: L i_d = U/ω − λ_m at i_q = 0
  const std::optional<LimitedPoint> idle = machine.least_current(0, omega);
  ASSERT_TRUE(idle.has_value());
  EXPECT_NEAR(idle->i_d, (100 / omega - lambda_m) / 1e-3, 1e-3);
  EXPECT_NEAR(idle->i_q, 0, 1e-6);
  EXPECT_TRUE(machine.least_current(0.1, omega).has_value());
}

}  // namespace
}  // namespace polepitch
