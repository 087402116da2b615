// A search as a user runs it: what it finds, what it tells, and that a kill loses nothing.
#include <gtest/gtest.h>

#include <csignal>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

using nlohmann::json;

/// No study: quantities that need no field. Masses are proportional to the length.
std::string sought_case(const std::string& more) {
  return small_case() + R"(
[optimise]
global_points = 9
local_points = 30
front_points = 4
[[optimise.variable]]
path = "machine.length"
from = "100 mm"
to = "300 mm"
)" + more;
}

const std::string kLightest = R"(
[[optimise.objective]]
quantity = "mass_stator_core"
)";

class Optimise : public ::testing::Test {
 protected:
  Outcome run(const std::string& text, ProcessOptions options = {}, const std::string& out = "out") {
    write_text(directory / "machine.toml", text);
    return run_program({"optimise", directory / "machine.toml", "-o", directory / out, "--json", "--jobs", "1"},
                       options);
  }
  FreshDirectory directory;
};

double value(const json& design, const std::string& list, const std::string& label) {
  return design.at(list).at(label).at("value").get<double>();
}

TEST_F(Optimise, LeastMassAtGivenResistance) {
  const json start =
      json::parse(run_program({"check", SOURCE_DIR "/tests/faults/base.toml", "-o", directory / "base", "--json"}).out);
  double rotor = 0;
  for (const json& q : start.at("quantities"))
    if (q.at("name") == "mass_rotor_core") rotor = q.at("value");
  const std::string text = sought_case(
      kLightest + "[[optimise.constraint]]\nquantity = \"mass_rotor_core\"\nat_least = " + std::to_string(1.3 * rotor) +
      "\n");
  const Outcome outcome = run(text);
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json report = json::parse(outcome.out);
  // formula: mass is area times length, so that the lightest stator has 1.3 times the length of 165 mm. The descent
  // ends within its step of 0.2 mm, and a limit counts as met within 0.1 %.
  EXPECT_NEAR(value(report.at("found")[0], "variables", "machine.length"), 1.3 * 165, 0.5);
  EXPECT_TRUE(report.at("met"));
  for (const char* file : {"optimise_convergence.png", "optimised.toml", "optimise.sqlite"})
    EXPECT_TRUE(std::filesystem::exists(directory / (std::string("out/") + file))) << file;

  // The file runs, keeps the comments, and is the design that was found.
  const std::string found = read_text_file(directory / "out/optimised.toml");
  EXPECT_NE(found.find("# Invented machine that the fault tests"), std::string::npos);
  const Outcome check = run_program({"check", directory / "out/optimised.toml", "-o", directory / "found", "--json"});
  ASSERT_EQ(check.exit_code, 0) << check.err;
  const json described = json::parse(check.out);
  for (const json& q : described.at("quantities"))
    if (q.at("name") == "mass_stator_core") {
      EXPECT_EQ(q.at("value"), value(report.at("found")[0], "objectives", "description.mass_stator_core"));
    }

  const json again = json::parse(run(text).out);
  EXPECT_EQ(again.at("solved"), 0);
  EXPECT_EQ(again.at("found"), report.at("found"));
}

TEST_F(Optimise, FrontOfTwoMasses) {
  const Outcome outcome = run(sought_case(kLightest + R"(
[[optimise.objective]]
quantity = "description.mass_rotor_core"
sense = "most"
)"));
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json report = json::parse(outcome.out);
  ASSERT_EQ(report.at("found").size(), 4U);
  // formula: both masses grow with the length, so the front is the whole range; caps cut it evenly. A cap counts as
  // kept within 1e-3 of the start's mass (165 mm), and the descent ends within its step of 0.2 mm.
  for (int i = 0; i < 4; ++i) {
    EXPECT_NEAR(value(report.at("found")[i], "variables", "machine.length"), 100 + i * 200.0 / 3, 0.6);
    EXPECT_TRUE(std::filesystem::exists(directory / ("out/front-" + std::to_string(i + 1) + ".toml")));
  }
  EXPECT_TRUE(std::filesystem::exists(directory / "out/optimise_front.png"));
}

TEST_F(Optimise, ChoosesAmongValues) {
  const std::string text = replaced(sought_case(kLightest), "from = \"100 mm\"\nto = \"300 mm\"\n",
                                    "from = \"100 mm\"\nto = \"300 mm\"\n[[optimise.variable]]\n"
                                    "path = \"stator.slot.tooth_width\"\nvalues = [\"6 mm\", \"5 mm\", \"6.5 mm\"]\n");
  const Outcome outcome = run(text);
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json found = json::parse(outcome.out).at("found")[0].at("variables");
  // formula: the thinner the teeth and the shorter the stack, the less iron.
  EXPECT_EQ(found.at("stator.slot.tooth_width").at("value"), "5 mm");
  EXPECT_NEAR(found.at("machine.length").at("value").get<double>(), 100, 0.5);
  EXPECT_NE(read_text_file(directory / "out/optimised.toml").find("tooth_width = \"5 mm\""), std::string::npos);
  const Outcome other = run(replaced(text, "\"6.5 mm\"]", "\"7 mm\"]"), {}, "other");
  EXPECT_EQ(other.exit_code, 3);
  EXPECT_NE(other.err.find("the file's own \"6.5 mm\" is not among the values"), std::string::npos) << other.err;
}

TEST_F(Optimise, WhatItFindsOfADrawnMachineRunsToo) {
  const std::string machines = SOURCE_DIR "/cases/machines/", text = read_text_file(machines + "drawn-motor.toml");
  write_text(directory / "drawn-motor.dxf", read_text_file(machines + "drawn-motor.dxf"));
  const Outcome outcome = run(text.substr(0, text.find("[[study]]")) + R"([optimise]
global_points = 3
local_points = 0
[[optimise.variable]]
path = "machine.length"
from = "40 mm"
to = "80 mm"
[[optimise.objective]]
quantity = "mass_magnets"
)");
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const Outcome check = run_program({"check", directory / "out/optimised.toml", "-o", directory / "found", "--quiet"});
  EXPECT_EQ(check.exit_code, 0) << check.err;
}

TEST_F(Optimise, KilledAtAnyMomentItGoesOnWithoutSolvingAPointTwice) {
  const std::string text = sought_case(kLightest + R"(
[[optimise.constraint]]
quantity = "mass_rotor_core"
at_least = "15 kg"
)");
  const json whole = json::parse(run(text, {}, "whole").out);
  // Later and later, until it came to its end before the kill: whatever the machine is busy with.
  int kills = 0;
  for (int ms = 200;; ms += 700, ++kills) {
    ProcessOptions options;
    options.signal = SIGKILL;
    options.signal_after_ms = ms;
    if (run(text, options, "killed").exit_code == 0) break;
  }
  EXPECT_GT(kills, 1);
  const json last = json::parse(run(text, {}, "killed").out);
  EXPECT_EQ(last.at("found"), whole.at("found"));
  EXPECT_EQ(last.at("designs"), whole.at("designs"));
  EXPECT_EQ(last.at("former"), last.at("designs").size());
  EXPECT_EQ(last.at("solved"), 0);
}

TEST_F(Optimise, WhatCannotBeMetIsToldWithTheNearest) {
  const Outcome outcome = run(sought_case(kLightest + R"(
[[optimise.constraint]]
quantity = "mass_stator_core"
at_least = 1000
)"));
  EXPECT_EQ(outcome.exit_code, 5);
  EXPECT_NE(outcome.err.find("no design within the bounds meets every constraint"), std::string::npos) << outcome.err;
  const json report = json::parse(outcome.out);
  EXPECT_EQ(value(report.at("found")[0], "variables", "machine.length"), 300);  // formula: the longest is the heaviest
  EXPECT_TRUE(std::filesystem::exists(directory / "out/nearest.toml"));
}

TEST_F(Optimise, FaultsOfTheTableAreToldAllAtOnce) {
  const std::string text = sought_case(R"(
[[optimise.variable]]
path = "stator.slots"
from = 12
to = 36
[[optimise.variable]]
path = "stator.slot.tooth_width"
from = "7 mm"
to = "6 mm"
[[optimise.variable]]
path = "machine.stack_gap"
from = "7 mm"
to = "8 mm"
[[optimise.objective]]
quantity = "mass_statr_core"
[[optimise.constraint]]
quantity = "torque-angle.torque_max"
at_least = 3
[[optimise.constraint]]
quantity = "B_stator_tooth"
at_most = "1.5 mm"
[[optimise.constraint]]
quantity = "B_stator_yoke"
)");
  const Outcome outcome = run(text);
  EXPECT_EQ(outcome.exit_code, 3);
  for (const char* part :
       {"stator.slots is no quantity that can take every value", "from = \"7 mm\" is not below to = \"6 mm\"",
        "unknown key \"stack_gap\" in [machine]", "did you mean \"mass_stator_core\"?",
        "there is no study \"torque-angle\" in this file", "at_most = \"1.5 mm\" is no limit for this quantity",
        "a number in T", "B_stator_yoke has no limit"})
    EXPECT_NE(outcome.err.find(part), std::string::npos) << part << " is not in\n" << outcome.err;
  EXPECT_NE(outcome.err.find(":" + std::to_string(line_of(text, "mass_statr_core")) + ":12: error: "),
            std::string::npos)
      << outcome.err;
}

TEST_F(Optimise, QuantityThatNoStudyGives) {
  const Outcome outcome = run(sought_case("[[optimise.objective]]\nquantity = \"torque_cogging\"\n"));
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_NE(outcome.err.find("no study of this case gives torque_cogging"), std::string::npos) << outcome.err;
}

TEST_F(Optimise, CaseWithoutTheTable) {
  const Outcome outcome = run(small_case());
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_NE(outcome.err.find("no table [optimise]"), std::string::npos) << outcome.err;
}

}  // namespace
}  // namespace polepitch
