// The studies load-point and load-angle: signs, energy, closed forms of linear machines (formulas in each test), and
// what is said where a point cannot be reached.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr double coarse = 0.3;  // density of meshes: what is compared holds on any, or is coarse itself

/// The slotless ring-magnet machine of constant permeability, without its studies.
std::string ring() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/ring-magnet-machine.toml");
  text.resize(text.find("[[study]]"));
  text = replaced(text, "\"M270-50A\"", "\"linear-steel\"");
  text = replaced(text, "rotor_material = \"shaft-steel\"", "rotor_material = \"linear-steel\"");
  return replaced(text, "[\"shaft-steel\", \"demo-magnet\"]", "[\"linear-steel\", \"demo-magnet\"]");
}

/// Signs by the definitions: over-excited, a generator's reactive power leaves its terminals (lagging) and E leads U; a
/// motor's E lags. E_0 lies over U.
TEST(LoadPoint, GeneratorAndMotorOverExcited) {
  const std::string lines = "positions = 2\nphase_resistance = \"0.2 ohm\"\n";
  SteadyCase machine(small_salient_machine(false) + study_text("load-point", lines) +
                         study_text("load-point", lines + "operation = \"motor\"\n"),
                     coarse);
  for (size_t k : {0u, 1u}) {
    const double sense = k == 0 ? -1 : 1;
    const StudyResult r = run_study(machine, k);
    EXPECT_NEAR(value(r, "P_terminal"), 16e3, 1);
    EXPECT_NEAR(value(r, "Q_terminal"), -sense * 12e3, 1);
    EXPECT_GT(sense * value(r, "load_angle"), 2);
    EXPECT_GT(sense * value(r, "torque_angle"), 90);  // over-excited: the stator's MMF opposes the rotor's
    EXPECT_GT(sense * value(r, "torque_mean"), 0);
    EXPECT_GT(value(r, "E_0"), value(r, "U_phase"));
    EXPECT_LT(value(r, "i_d"), 0);
    ASSERT_EQ(r.results.phasor_diagrams.size(), 1u);
    EXPECT_NEAR(std::arg(r.results.phasor_diagrams[0].arrows[0].value), 0, 1e-9);
  }
}

/// The same currents given to operating-point make the same torque and linkages: another way through the program.
TEST(LoadPoint, FedBackIntoOperatingPointGivesTheSameField) {
  SteadyCase machine(small_salient_machine(false) + study_text("load-point", "positions = 2\n"), coarse);
  const StudyResult found = run_study(machine, 0);
  const double i_d = value(found, "i_d"), i_q = value(found, "i_q");
  SteadyCase again(
      small_salient_machine(false) +
          study_text("operating-point",
                     fmt::format("positions = 2\nphase_current = \"{:.12g} A\"\ncurrent_angle = \"{:.12g} deg\"\n"
                                 "field_current = \"{:.12g} A\"\n",
                                 std::hypot(i_d, i_q) / std::sqrt(2.0), std::atan2(i_q, i_d) * 180 / pi,
                                 value(found, "i_field"))),
      coarse);
  const StudyResult given = run_study(again, 0);
  for (const char* name : {"torque_mean", "lambda_d", "lambda_q", "torque_angle"})
    EXPECT_NEAR(value(given, name), value(found, name), 1e-6 * std::abs(value(found, name))) << name;
  EXPECT_NEAR(value(given, "E_phase"), value(found, "U_phase"), 1e-4 * value(found, "U_phase"));  // R = 0 here
}

std::string refusal(const std::string& text) {
  SteadyCase machine(text, coarse);
  try {
    run_study(machine, 0);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

TEST(LoadPoint, UnreachablePointsAreToldWithTheNearest) {
  const std::string past = refusal(small_salient_machine(false) + study_text("load-point",
                                                                             "positions = 1\nfield_current = \"90 A\"\n"
                                                                             "power = \"900 kW\"\n"));
  EXPECT_NE(past.find("900 kW cannot be reached"), std::string::npos) << past;
  EXPECT_NE(past.find("pulls out at"), std::string::npos) << past;
  const std::string more = refusal(small_salient_machine(false) +
                                   study_text("load-point", "positions = 1\nlargest_field_current = \"60 A\"\n"));
  EXPECT_NE(more.find("more than the 60 A allowed; with it, 16 kW are met at the power factor"), std::string::npos)
      << more;
}

/// formula: T = (m/2)(p/ω) [E U/X_d sin δ + (U²/2)(1/X_q − 1/X_d) sin 2δ] with E, X_d, X_q of the study reactances at
/// a small current; of the whole curve, averaged over positions, to 1e-3 of its largest.
TEST(LoadAngle, LinearSalientMachineFollowsTheTwoReactanceCurve) {
  SteadyCase machine(
      small_salient_machine(true) +
          study_text("load-angle", "positions = 12\nangles = 8\nfield_current = \"60 A\"\npower = \"1 kW\"\n") +
          study_text("reactances", "positions = 12\nphase_current = \"1 A\"\nfield_current = \"1 A\"\n"),
      0.4);
  const StudyResult curve = run_study(machine, 0), small = run_study(machine, 1);
  const double u = per_unit_base(machine.kase.machine).voltage, omega = per_unit_base(machine.kase.machine).omega;
  const double x_d = value(small, "X_d_apparent"), x_q = value(small, "X_q_apparent"), e = 60 * value(small, "X_df");
  const auto& columns = curve.results.curves.at(0).columns;
  const double most = value(curve, "pull_out_torque", "motoring");
  for (size_t k = 0; k < columns[0].values.size(); ++k) {
    const double delta = columns[0].values[k] * pi / 180;
    const double t =
        1.5 * 2 / omega * (e * u / x_d * std::sin(delta) + 0.5 * u * u * (1 / x_q - 1 / x_d) * std::sin(2 * delta));
    EXPECT_NEAR(columns[1].values[k] / most, t / most, 1e-3) << columns[0].values[k];              // torque
    EXPECT_NEAR(columns[3].values[k] / most, t / most, 1e-3) << columns[0].values[k];              // unsaturated: same
    EXPECT_NEAR(columns[4].values[k] * 2 / omega / most, t / most, 1e-3) << columns[0].values[k];  // power: no losses
  }
  EXPECT_LT(value(curve, "two_reactance_deviation"), 1e-3);
  EXPECT_NEAR(value(curve, "pull_out_torque", "generating"), most, 1e-3 * most);
  EXPECT_LT(value(curve, "pull_out_angle", "motoring"), 90);  // X_d > X_q
}

/// formula: of saliency alone T = (m/2)(p/ω)(U²/2)(1/X_q − 1/X_d) sin 2δ, largest at 45° and as large at −135°, where
/// no pull-out must be sought.
TEST(LoadAngle, SaliencyAlonePullsOutAtHalfARightAngle) {
  SteadyCase machine(
      small_salient_machine(true) +
          study_text("load-angle",
                     "positions = 12\nangles = 8\nfield_current = \"0 A\"\npower = \"1 kW\"\noperation = \"motor\"\n") +
          study_text("reactances", "positions = 12\nphase_current = \"1 A\"\n"),
      0.4);
  const StudyResult curve = run_study(machine, 0), small = run_study(machine, 1);
  const double u = per_unit_base(machine.kase.machine).voltage, omega = per_unit_base(machine.kase.machine).omega;
  const double x_d = value(small, "X_d_apparent"), x_q = value(small, "X_q_apparent");
  const double expected = 1.5 * 2 / omega * 0.5 * u * u * (1 / x_q - 1 / x_d);
  test::record_check("pull-out torque of saliency alone over its formula",
                     value(curve, "pull_out_torque", "motoring") / expected, 1, 2e-3, "1",
                     "(m/2)(p/omega)(U^2/2)(1/X_q - 1/X_d)", test::kClosedForm);
  EXPECT_NEAR(value(curve, "pull_out_angle", "motoring"), 45, 0.3);
  EXPECT_NEAR(value(curve, "pull_out_angle", "generating"), -45, 0.3);
}

/// formula: without saliency and resistance pull-out lies at 90° and is (m/2)(p/ω) E U/X_d.
TEST(LoadAngle, LinearRoundMachinePullsOutAtARightAngle) {
  SteadyCase machine(ring() + study_text("load-angle",
                                         "positions = 2\nangles = 8\noperation = \"motor\"\n"
                                         "power = \"0.5 kW\"\nphase_resistance = \"0 ohm\"\n"));
  const StudyResult r = run_study(machine, 0);
  EXPECT_NEAR(value(r, "pull_out_angle", "motoring"), 90, 0.3);
  EXPECT_NEAR(value(r, "pull_out_angle", "generating"), -90, 0.3);
  const PerUnitBase base = per_unit_base(machine.kase.machine);
  const double e = std::sqrt(2.0) * value(r, "E_frozen");
  const double expected = 1.5 / base.omega * e * base.voltage / value(r, "X_d_apparent");
  EXPECT_NEAR(value(r, "pull_out_torque", "motoring"), expected, 1e-3 * expected);
}

/// Saturated: the load point lies on the curve, the load beyond pull-out loses synchronism and one well below keeps it.
TEST(LoadAngle, SwingLosesSynchronismOnlyBeyondPullOut) {
  const std::string lines =
      "positions = 1\nangles = 12\npower = \"8 kW\"\npower_factor = 1\nphase_resistance = \"0.2 ohm\"\noperation = "
      "\"motor\"\n";
  SteadyCase machine(small_salient_machine(false) + study_text("load-angle", lines + "inertia = \"0.5 kg.m^2\"\n") +
                         study_text("load-angle", lines + "load_step = 0.5\n"),
                     coarse);
  const StudyResult over = run_study(machine, 0);
  EXPECT_GT(value(over, "swing_slip_time"), 0);
  EXPECT_GT(value(over, "pull_out_ratio"), 1);
  EXPECT_EQ(value(over, "inertia"), 0.5);
  EXPECT_LT(std::abs(value(over, "curve_error")), 0.02);
  const auto& swing = over.results.curves.at(1).columns;
  EXPECT_GT(swing[1].values.back(), 180);                      // E falls behind
  EXPECT_LT(swing[2].values.back(), swing[2].values.front());  // and the motor slows down
  EXPECT_LT(value(run_study(machine, 1), "swing_largest_angle"), 180);
}

}  // namespace
}  // namespace polepitch
