// The ready cases that are stepped in time run whole, and agree with a hand calculation that never saw the program.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/hand_formulas_helper.h"
#include "tests/cases/ready_case_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using namespace hand;
constexpr double pi = kPi, omega = 2 * kPi * 50;

void expect_winding(const ReadyCase& run, const std::string& name, double kw, double turns) {
  test::record_check(name + ": winding factor", run.value("description", "winding_factor"), kw, 1e-6, "1",
                     "sines of distribution and pitch (formula)", test::kByHand);
  EXPECT_DOUBLE_EQ(run.value("description", "turns_in_series"), turns);
}

/// Peak of the first current at the locked rotor's impedance, the direct component included: √2 U/Z (1 + e^{−π R/X}).
/// Reactances of slots, tips, harmonics (0.0285 of X_m for q = 2; (x/sin x)² − 1, x = π p/Q_r) and coil ends, the
/// cage's resistance with its rings referred to the stator (memory).
double switching_current() {
  const double turns = 248, kw = distribution_factor(2), length = 0.09, referred = 12 * std::pow(turns * kw, 2) / 20;
  const auto tip = [](double opening) { return 5 * (0.8 / opening) / (5 + 4 * 0.8 / opening); };
  const double delta = 0.8e-3 * carter(pi * 0.096 / 24, 2.8e-3, 0.8e-3) * carter(pi * 0.0944 / 20, 1.5e-3, 0.8e-3);
  const double main = omega * magnetising_inductance(length, 0.0476, turns * kw, 2, delta);
  const double stator =
      omega * 2 * mu_0 * length * turns * turns / 4 * (slot_permeance(14, 7.0, 10.7, 1, 0.8, 2.8) + tip(2.8));
  const double rotor = omega * referred * mu_0 * length * (slot_permeance(12, 5.5, 3, 0.5, 0.8, 1.5) + tip(1.5));
  const double half = pi * 2 / 20, harmonics = (0.0285 + std::pow(half / std::sin(half), 2) - 1) * main;
  const double span = 2 * pi * 0.0565 * 6 / 24, overhang = (0.2 * span + 0.05) / 2;
  const double ends = omega * turns * turns * mu_0 * (2 * overhang * 0.5 + span * 0.2);
  const double sigma = 35.4e6 / (1 + 0.00403 * 55), bar = length / (sigma * 54e-6);
  const double ring = pi * 0.08 / (20 * sigma * 35e-6);
  const double r = 3.28 + referred * (bar + ring / (2 * std::pow(std::sin(half), 2)));
  const double x = stator + rotor + harmonics + ends;
  return std::sqrt(2.0) * 400 / std::sqrt(3.0) / std::hypot(r, x) * (1 + std::exp(-pi * r / x));
}

TEST(ReadyDynamics, RunUpMotor) {
  const ReadyCase run("run-up-motor");
  run.expect_whole();
  run.expect_lesson();
  expect_winding(run, "RunUpMotor", distribution_factor(2), 4 * 62.0);
  // Formula: 60 f/p without a load; what is left of the swings in the last period is some tenths of a per cent.
  expect_by_hand(run.value("run-up", "n_end"), 1500, 0.995, 1.005, "synchronous speed");
  // Common practice (energy theorem of slip): a slow run-up without load leaves as much heat in the rotor as kinetic
  // energy. Swings over synchronous speed and the field at rest after switching on add to it.
  const double kinetic = 0.5 * 0.006 * std::pow(omega / 2, 2);
  expect_by_hand(run.value("run-up", "heat_rotor"), kinetic, 1.0, 1.5, "energy theorem of slip");
  // Band: at seven times the rated current the tooth tips are full, which takes away a third of the leakage and more.
  expect_by_hand(run.value("run-up", "I_peak"), switching_current(), 0.9, 1.5, "locked-rotor impedance");
}

TEST(ReadyDynamics, ShortCircuitGenerator) {
  const ReadyCase run("short-circuit-generator");
  run.expect_whole();
  run.expect_lesson();
  expect_winding(run, "ShortCircuitGenerator", distribution_factor(4) * pitch_factor(10.0 / 12), 16 * 7 / 2.0);
  const std::string sudden = "sudden-short-circuit", still = "frequency-response";
  for (const char* name : {"X_d_transient", "X_d_subtransient", "T_d_transient", "T_d_subtransient"})
    test::record_check(std::string("short-circuit-generator, its own steel and resistance, at a quarter of rated "
                                   "voltage: ") +
                           name + " of the oscillogram over the frequency response's",
                       run.value(sudden, name) / run.value(still, name), 1, 0.1, "1",
                       "frequency response of the same section", "two methods of the program");
  // Formula (IEC 60034-4-1, memory): the largest current of a phase shorted at the zero of its voltage, half a period
  // later, from the constants at rest. Band: slots.
  const double voltage = 100 * std::sqrt(2.0 / 3), t = 0.01;
  const auto constant = [&](const char* name) { return run.value(still, name); };
  const double x = constant("X_d_incremental"), x1 = constant("X_d_transient"), x2 = constant("X_d_subtransient");
  const double armature = constant("X_2") / (omega * run.value("description", "R_phase"));
  const double peak =
      voltage * (1 / x + (1 / x1 - 1 / x) * std::exp(-t / constant("T_d_transient")) +
                 (1 / x2 - 1 / x1) * std::exp(-t / constant("T_d_subtransient")) + 1 / x2 * std::exp(-t / armature));
  expect_by_hand(run.value(sudden, "I_peak"), peak, 0.93, 1.07, "short-circuit current after half a period");
}

}  // namespace
}  // namespace polepitch
