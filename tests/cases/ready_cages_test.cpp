// The ready cases of cages over slip run whole, and agree with a hand calculation that never saw the program.
#include <gtest/gtest.h>

#include <cmath>
#include <complex>

#include "tests/cases/hand_formulas_helper.h"
#include "tests/cases/ready_case_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using namespace hand;

constexpr double kOmega = 2 * kPi * 50, kPhase = 400 / 1.7320508;
constexpr double kLength = 0.14;
constexpr int kBars = 28;

/// The stator of both: 36 slots, q = 3, 144 turns in series.
double turns() {
  return 144 * distribution_factor(3);
}

void expect_winding(const ReadyCase& run) {
  const std::string name = ::testing::UnitTest::GetInstance()->current_test_info()->name();
  test::record_check(name + ": winding factor", run.value("description", "winding_factor"), distribution_factor(3),
                     1e-6, "1", "sines of distribution and pitch (formula)", test::kByHand);
}

struct Metal {
  double conductivity, coefficient;  // S/m at 20 degC, 1/K
};
constexpr Metal kAluminium{35.38e6, 0.00403}, kCopper{58e6, 0.00393}, kBrass{15.5e6, 0.0016};

/// A cage at 75 degC referred to the stator: bars of an area with rings of an area and mean diameter (textbooks:
/// formula l/(σA), ring segments over 2 sin²(πp/Q), 4 m (N k_w)²/Q).
double cage_resistance(const Metal& m, double bar, double ring, double diameter) {
  const double sigma = m.conductivity / (1 + m.coefficient * 55), sine = std::sin(kPi * 2 / kBars);
  const double with_rings = kLength / (sigma * bar) + kPi * diameter / (kBars * sigma * ring) / (2 * sine * sine);
  return with_rings * 12 * turns() * turns() / kBars;
}

/// T = 3 p/ω U² s/R at a small slip; R_1 and leakage take some of the voltage (the caller's band).
double torque_by_resistance(double slip, double resistance) {
  return 3 * 2 / kOmega * kPhase * kPhase * slip / resistance;
}

TEST(ReadyCages, CageCircuitMotor) {
  const ReadyCase run("cage-circuit-motor", {"torque-speed"});
  run.expect_whole();
  run.expect_lesson();
  expect_winding(run);
  const double delta =
      0.5e-3 * carter(2 * kPi * 0.06 / 36, 2.6e-3, 0.5e-3) * carter(2 * kPi * 0.0595 / kBars, 1.2e-3, 0.5e-3);
  // Iron takes a fifth of the MMF at rated voltage.
  expect_by_hand(run.value("no-load", "X_m"), kOmega * magnetising_inductance(kLength, 0.05975, turns(), 2, delta), 0.7,
                 0.9, "magnetising reactance of the gap");
  expect_by_hand(run.value("no-load", "friction_loss_test"), 40, 0.99, 1.05, "friction given to the test");
  const double bar = 0.5 * (5e-3 + 3e-3) * 16e-3 + 0.5 * (5e-3 + 1.2e-3) * 0.8e-3 + 1.2e-3 * 0.6e-3;
  const double r = cage_resistance(kAluminium, bar, 16e-3 * 12e-3, 0.098);
  expect_by_hand(run.value("equivalent-circuit", "R_2_slip"), r, 0.97, 1.06, "cage with rings referred to the stator");
  // 5.5 kW at 1450 rpm: s = T R/(3 p/ω U²), with a tenth of the voltage lost before the rotor.
  const double torque = run.value("load-point", "torque_mean");
  expect_by_hand(run.value("load-point", "slip"), torque / torque_by_resistance(1, r), 1.0, 1.3, "slip by R_2/s");
  // J Ω over the mean of starting and breakdown torque, less a third of the fan's.
  const double mean = 0.5 * (84.8 + 120) - 36 / 3.0;
  expect_by_hand(run.value("acceleration", "run_up_time"), 0.05 * 0.99 * kOmega / 2 / mean, 0.85, 1.25,
                 "inertia over a mean torque");
  // Rotor heat of an unloaded start is the kinetic energy; the fan adds its share.
  expect_by_hand(run.value("acceleration", "rotor_heat_ratio"), 1, 1.02, 1.4, "heat of a start");
}

TEST(ReadyCages, DoubleCageMotor) {
  const ReadyCase run("double-cage-motor");
  run.expect_whole();
  run.expect_lesson();
  expect_winding(run);
  const double inner = cage_resistance(kCopper, 0.5 * (4e-3 + 2.8e-3) * 9e-3, 80e-6, 0.082);
  const double outer = cage_resistance(kBrass, 0.5 * (6e-3 + 5.4e-3) * 6e-3, 100e-6, 0.112);
  // At small slip both cages share by their resistances.
  const double torque = run.column("slip", "curve", "torque").front();
  expect_by_hand(torque, torque_by_resistance(0.012, inner * outer / (inner + outer)), 0.78, 0.95,
                 "torque of both cages at a slip of 0.012");
  // At standstill the slit's leakage h/b and the body's h/3b (formula) stand before the inner cage: T = 3 p/ω I² R of
  // both in parallel and the field's own current. Band: skin effect of the inner bars raises it, rings' leakage lowers.
  const double slit = mu_0 * (7 / 1.0 + 9 / (3 * 3.4)) * kLength * 12 * turns() * turns() / kBars;
  const std::complex<double> below{inner, kOmega * slit}, both = outer * below / (outer + below);
  const double current = run.column("slip", "curve", "I_phase").back();
  expect_by_hand(run.column("slip", "curve", "torque").back(), 3 * 2 / kOmega * current * current * both.real(), 0.8,
                 1.2, "starting torque of two cages in parallel");
}

}  // namespace
}  // namespace polepitch
