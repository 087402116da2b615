// Load points of the ready cage motor with rings, a coarse mesh: what is asked for is met, powers balance, and what no
// slip gives is refused with the nearest that one does.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/cage_case_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

std::string refusal(const std::string& lines) {
  try {
    SteadyCase machine(cage_motor_with_iron_loss() + study_text("load-point", lines), 0.2);
    run_study(machine, 0);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

double value_at(const StudyResult& result, const std::string& name, const std::string& point) {
  for (const Quantity& q : result.results.quantities)
    for (const auto& [key, text] : q.at)
      if (q.name == name && key == "point" && text == point) return q.value;
  ADD_FAILURE() << "no " << name << " at " << point;
  return 0;
}

/// Terminal power = copper + iron + bars + rings + shaft (formula), to 1e-6 of rated apparent power: the gap mode's
/// energy balance closes, and the load is met to the search's 1e-7.
TEST(CageLoadPoint, PowersBalanceInBothSenses) {
  SteadyCase machine(cage_motor_with_iron_loss() + study_text("load-point", "shaft_power = \"20 kW\"\n") +
                         study_text("load-point", "torque = \"130 N m\"\noperation = \"generator\"\n") +
                         study_text("load-point", "power = \"22 kW\"\niron_loss = false\n"),
                     0.2);
  for (size_t k : {0u, 1u, 2u}) {
    const StudyResult r = run_study(machine, k);
    const double sense = k == 1 ? -1 : 1;
    EXPECT_NEAR(value(r, "cage_power_balance"), 0, 1e-6) << k;
    const double loss = value(r, "copper_loss_stator") + value(r, "cage_loss") + (k == 2 ? 0 : value(r, "iron_loss"));
    EXPECT_NEAR(value(r, "P_terminal"), value(r, "P_shaft") + sense * loss, 1e-6 * 28e3) << k;
    EXPECT_GT(sense * value(r, "slip"), 0);
    EXPECT_NEAR(value(r, "P_shaft"), sense * value(r, "torque_mean") * value(r, "speed") * 3.14159265358979 / 30, 1e-3);
    if (k == 0) {
      EXPECT_NEAR(value(r, "P_shaft"), 20e3, 2e-7 * 20e3);
      EXPECT_NEAR(value(r, "efficiency"), 20e3 / value(r, "P_terminal"), 1e-6);
      const double apparent = 3 * value(r, "U_phase") * value(r, "I_phase");
      EXPECT_NEAR(value(r, "power_factor"), value(r, "P_terminal") / apparent, 1e-5);
    }
    if (k == 1) {
      EXPECT_NEAR(value(r, "torque_mean"), -130, 2e-7 * 130);
    }
    if (k == 2) {
      EXPECT_NEAR(value(r, "P_terminal"), 22e3, 2e-7 * 22e3);
    }
  }
}

TEST(CageLoadPoint, WhatCannotBeReachedIsToldWithTheNearest) {
  const std::string most = refusal("torque = \"600 N m\"\n");
  const std::string begin = "600 N m cannot be reached: at this voltage and frequency the largest is ";
  ASSERT_EQ(most.rfind(begin, 0), 0u) << most;
  SteadyCase machine(cage_motor_with_iron_loss() + study_text("slip", "slips = [0.5, 0.3, 0.2, 0.12, 0.06]\n"), 0.2);
  const StudyResult slip = run_study(machine, 0);
  const double breakdown = value_at(slip, "torque_mean", "largest torque");  // another search of the same field
  EXPECT_NEAR(std::stod(most.substr(begin.size())), breakdown, 1e-3 * breakdown);
  EXPECT_NE(refusal("power = \"10 W\"\n").find("at synchronous speed the machine already takes"), std::string::npos);
  EXPECT_NE(refusal("torque = \"10 N m\"\nshaft_power = \"1 kW\"\n").find("given beside another load"),
            std::string::npos);
  EXPECT_NE(refusal("power_factor = 0.8\n").find("does not fit a rotor with a cage"), std::string::npos);
}

TEST(CageLoadPoint, AnotherRotorHasNoShaftTorqueToAskFor) {
  SteadyCase machine(small_salient_machine(false) + study_text("load-point", "torque = \"1 N m\"\n"), 0.3);
  EXPECT_THROW(run_study(machine, 0), InputError);
}

}  // namespace
}  // namespace polepitch
