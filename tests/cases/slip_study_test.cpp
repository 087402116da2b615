// The study slip: what is refused, and slips that stand for speeds.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

std::string solid_rotor() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/solid-rotor-machine.toml");
  text.resize(text.find("[[study]]"));
  return text;
}

std::string refusal(const std::string& text) {
  try {
    SteadyCase machine(text, 0.3);
    run_study(machine, 0);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

TEST(SlipStudy, WhatDoesNotFitIsTold) {
  EXPECT_NE(refusal(small_salient_machine(false) + study_text("slip", "")).find("follows a B-H curve"),
            std::string::npos);
  EXPECT_NE(
      refusal(replaced(small_salient_machine(true), "shaft_material = \"linear-steel\"", "shaft_material = \"air\"") +
              study_text("slip", ""))
          .find("no solid part"),
      std::string::npos);
  EXPECT_NE(
      refusal(read_text_file(SOURCE_DIR "/tests/physics/cage.toml") + study_text("slip", "phase_current = \"1 A\"\n"))
          .find("solid rings"),
      std::string::npos);
  EXPECT_NE(refusal(solid_rotor() + study_text("slip", "slips = [0.1]\nspeeds = [\"10 rpm\"]\n")).find("both speeds"),
            std::string::npos);
}

/// At synchronous speed the fundamental induces nothing, and without harmonics there is no torque; a slip of s is the
/// speed (1 − s) f 60/p (formula).
TEST(SlipStudy, SlipsAreSpeedsAndSynchronismPullsNothing) {
  SteadyCase machine(solid_rotor() + study_text("slip",
                                                "phase_current = \"2045.2 A\"\nslips = [0, 0.5]\n"
                                                "gap_coupling = \"fundamental\"\n"),
                     0.4);
  const StudyResult r = run_study(machine, 0);
  const std::vector<Column>& columns = r.results.curves.at(0).columns;
  ASSERT_EQ(columns[0].values.size(), 2u);
  EXPECT_NEAR(columns[0].values[0], 1800, 1e-9);
  EXPECT_NEAR(columns[0].values[1], 3600, 1e-9);
  EXPECT_GT(columns[1].values[0], 1);
  EXPECT_NEAR(columns[1].values[1], 0, 1e-9);
}

}  // namespace
}  // namespace polepitch
