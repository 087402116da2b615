// Runs up whose time and heat are known in closed form.
#include "post/run_up.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr double kSynchronous = 157, kInertia = 0.4, kMost = 80, kMostSlip = 0.2;

/// Kloss's curve T = 2 T_m/(s/s_m + s_m/s) (M. Kloss, 1908; memory).
double kloss(double speed) {
  const double s = 1 - speed / kSynchronous;
  return s <= 0 ? 0 : 2 * kMost / (s / kMostSlip + kMostSlip / s);
}

RunUpInput unloaded() {
  RunUpInput in;
  in.torque = kloss;
  in.load = [](double) { return 0.0; };
  in.bar_loss = [](double speed) { return 0.8 * kloss(speed) * (kSynchronous - speed); };
  in.ring_loss = [](double speed) { return 0.2 * kloss(speed) * (kSynchronous - speed); };
  in.copper = [](double speed) { return 0.5 * kloss(speed) * (kSynchronous - speed); };
  in.inertia = kInertia;
  in.final_speed = kSynchronous;
  in.near = 0.97;
  return in;
}

/// t = J Ω_s/(2 T_m) [(1 − s_e²)/(2 s_m) + s_m ln(1/s_e)] to the slip s_e (formula: integral of ds over Kloss's curve).
TEST(RunUp, TimeOfKlosssCurve) {
  const RunUp run = run_up(unloaded());
  ASSERT_TRUE(run.arrived);
  const double s = 0.03;
  const double time =
      kInertia * kSynchronous / (2 * kMost) * ((1 - s * s) / (2 * kMostSlip) + kMostSlip * std::log(1 / s));
  test::record_check("run-up time of Kloss's torque curve", run.time.back() / time, 1, 1e-6, "1",
                     "integral of J ds over T(s) (formula)", test::kClosedForm);
}

/// Without load the rotor's heat is ½ J Ω_s² (1 − s²), whatever the torque curve: as much as the kinetic energy at
/// synchronous speed (formula).
TEST(RunUp, HeatOfAnUnloadedStartIsTheKineticEnergy) {
  const RunUp run = run_up(unloaded());
  const double heat = run.bars.back() + run.rings.back(), kinetic = 0.5 * kInertia * kSynchronous * kSynchronous;
  test::record_check("rotor heat of an unloaded start over the kinetic energy", heat / (kinetic * (1 - 0.03 * 0.03)), 1,
                     1e-6, "1", "integral of J (Omega_s - Omega) dOmega (formula)", test::kClosedForm);
  EXPECT_NEAR(run.rings.back() / run.bars.back(), 0.25, 1e-9);
  EXPECT_NEAR(run.copper.back(), 0.5 * heat, 1e-6 * heat);
}

/// A constant surplus of torque T over load T_L: t = J Ω/(T − T_L) (formula).
TEST(RunUp, ConstantSurplus) {
  RunUpInput in = unloaded();
  in.torque = [](double) { return 50.0; };
  in.load = [](double) { return 30.0; };
  in.near = 1;
  const RunUp run = run_up(in);
  EXPECT_TRUE(run.arrived);
  EXPECT_NEAR(run.time.back(), kInertia * kSynchronous / 20, 1e-9);
}

TEST(RunUp, EndsWhereItCannotStartOrTakesTooLong) {
  RunUpInput in = unloaded();
  in.load = [](double) { return 200.0; };
  EXPECT_FALSE(run_up(in).arrived);
  in.load = [](double) { return 0.0; };
  in.longest = 0.01;
  EXPECT_FALSE(run_up(in).arrived);
}

/// Kloss's curve meets a load of T_m at s_m from above … and half of it at s = s_m (2 ± √3) (formula): the first from
/// standstill is the stable one where the load is under the starting torque.
TEST(RunUp, MeetingSpeeds) {
  const double light = 20;  // under T(1) = 2·80/(5 + 0.2) = 30.8 N m
  const double ratio = kMost / light, s = kMostSlip * (ratio - std::sqrt(ratio * ratio - 1));
  EXPECT_NEAR(meeting_speed(
                  kloss, [&](double) { return light; }, kSynchronous),
              kSynchronous * (1 - s), 1e-9);
  EXPECT_EQ(meeting_speed(
                kloss, [](double) { return 40.0; }, kSynchronous),
            0);
  // A load that rises through the torque's dip holds the rotor there.
  const double hang = meeting_speed(
      kloss, [](double speed) { return speed > 10 ? 60.0 : 0.0; }, kSynchronous);
  EXPECT_NEAR(hang, 10, kSynchronous / 2000);
}

}  // namespace
}  // namespace polepitch
