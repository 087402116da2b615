// The studies no-load and locked-rotor on the ready cage motor with rings, coarse meshes.
#include <gtest/gtest.h>

#include <cmath>

#include "post/dq.h"
#include "tests/cases/cage_case_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

std::string refusal(const std::string& text) {
  try {
    SteadyCase machine(text, 0.3);
    run_study(machine, 0);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

TEST(CageTests, WhatDoesNotFitIsTold) {
  EXPECT_NE(refusal(small_salient_machine(false) + study_text("no-load", "")).find("this one has no bars"),
            std::string::npos);
  EXPECT_NE(refusal(cage_motor() + study_text("no-load", "iron_loss = true\n")).find("states no coefficients"),
            std::string::npos);
  EXPECT_NE(refusal(cage_motor() + study_text("locked-rotor", "voltages = [\"90 V\"]\nphase_currents = [\"1 A\"]\n"))
                .find("both voltages and phase_currents"),
            std::string::npos);
}

/// At synchronous speed the terminals see R_1 + j(X_1 + X_m), Q over m I² (formula; 1e-6: the rotor carries nothing,
/// and E is U less both drops). The field saturates: the magnetising reactance falls as the voltage passes the rated
/// one. Copper and iron are all the power, and R_fe across E takes the iron's.
TEST(CageTests, NoLoadIsTheStatorsBranch) {
  SteadyCase machine(
      cage_motor_with_iron_loss() + study_text("no-load", "voltages = [\"200 V\", \"400 V\", \"480 V\"]\n"), 0.2);
  const StudyResult r = run_study(machine, 0);
  const double x_m = value(r, "X_m"), x_1 = value(r, "X_1"), current = value(r, "I_no_load");
  EXPECT_NEAR(value(r, "X_no_load"), x_m + x_1, 1e-6 * x_m);
  const std::vector<Column>& columns = r.results.curves.at(0).columns;
  ASSERT_EQ(columns[2].name, "X_m");
  EXPECT_GT(columns[2].values.at(0), x_m);
  EXPECT_LT(columns[2].values.at(2), 0.8 * x_m);
  const double iron = value(r, "iron_loss"), copper = value(r, "copper_loss_stator"), e = value(r, "E_gap");
  EXPECT_NEAR(value(r, "R_fe"), 3 * e * e / iron, 1e-9 * value(r, "R_fe"));
  EXPECT_NEAR(value(r, "power_factor"), (iron + copper) / (std::sqrt(3.0) * 400 * current), 1e-9);
  EXPECT_NEAR(iron, value(r, "hysteresis_loss") + value(r, "classical_loss") + value(r, "excess_loss"), 1e-9 * iron);
  EXPECT_TRUE(r.results.warnings.empty());
}

/// In iron of constant permeability and bars without skin effect the tests' circuit is the machine's: leakage is what
/// the split of the field says of the stator, when the ratio parts it so. 1 %: the rotor's MMF has differential leakage
/// that the split counts as the rotor's. A quarter of the frequency changes the bars' resistance by skin effect alone.
TEST(CageTests, LockedRotorAtReducedFrequency) {
  std::string text = replaced(cage_motor(), "\"M400-50A\"", "\"linear-steel\"");
  text = replaced(text, "\"shaft-steel\"", "\"linear-steel\"");
  SteadyCase machine(text + study_text("locked-rotor", "voltages = [\"400 V\"]\n") +
                         study_text("locked-rotor", "phase_currents = [\"40 A\"]\nfrequency = \"12.5 Hz\"\n") +
                         study_text("slip", "slips = [1]\n"),
                     0.2);
  const StudyResult rated = run_study(machine, 0), reduced = run_study(machine, 1), slip = run_study(machine, 2);
  EXPECT_NEAR(value(rated, "torque_mean"), value(slip, "torque_mean"), 1e-6 * value(slip, "torque_mean"));
  EXPECT_NEAR(value(rated, "I_phase"), value(slip, "I_phase"), 1e-6 * value(slip, "I_phase"));
  EXPECT_NEAR(value(reduced, "I_phase"), 40, 1e-9);
  // Deep bars of 22 mm in 75 degC aluminium: at 50 Hz more resistance and less leakage than at 12.5 Hz.
  EXPECT_GT(value(rated, "R_2_test"), 1.05 * value(reduced, "R_2_test"));
  EXPECT_LT(value(rated, "X_2_test"), value(reduced, "X_2_test"));
  EXPECT_NEAR(value(rated, "X_m_test"), value(reduced, "X_m_test"), 0.01 * value(reduced, "X_m_test"));
  // P = 3 R I²: stator copper and cage are all of it.
  const double current = value(reduced, "I_phase");
  EXPECT_NEAR(3 * value(reduced, "R_locked") * current * current,
              value(reduced, "copper_loss_stator") + value(reduced, "cage_loss"), 1e-5 * value(reduced, "P_terminal"));
}

}  // namespace
}  // namespace polepitch
