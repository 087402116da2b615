// Studies that step in time: the steady state of a linear cage motor against its time-harmonic field, a run-up that is
// stopped and goes on bit for bit, what is refused.
#include "cases/stepping.h"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <stdexcept>

#include "cases/checkpoint.h"
#include "cases/interrupt.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using test::record_at_most;
using test::record_check;

const char* const kRings = "\nring_height = \"20 mm\"\nring_width = \"16 mm\"\nring_mean_diameter = \"142 mm\"\n";

/// The ready motor with end rings and of constant permeability.
std::string linear_motor() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/cage-motor.toml");
  text.resize(text.find("[[study]]"));
  text = replaced(text, "\"M400-50A\"", "\"linear-steel\"");
  text = replaced(text, "\"shaft-steel\"", "\"linear-steel\"");
  return replaced(text, "bars = 40\n", std::string("bars = 40") + kRings);
}

/// The small cage machine of tests/physics, coarse, from standstill.
std::string run_up(const std::string& lines) {
  std::string text = read_text_file(SOURCE_DIR "/tests/physics/cage.toml");
  text = replaced(text, "bars = 22\n",
                  "bars = 22\nring_height = \"14 mm\"\nring_width = \"10 mm\"\nring_mean_diameter = \"90 mm\"\n");
  return text + study_text("run-up",
                           "inertia = \"0.01 kg.m^2\"\nphase_resistance = \"1 ohm\"\nstep_tolerance = 5e-3\n" + lines);
}

/// One machine by two methods, so a check of each; the time-harmonic one couples both sides by the fundamental alone
/// and looks on slots as smooth for all other waves: 3 % is asked for (a choice; see theory).
TEST(SteppingStudy, SteadyStateOfALinearCageMotorIsTheTimeHarmonicOne) {
  SteadyCase machine(linear_motor() + study_text("steady-state", "slip = 0.0233\nsteps_per_period = 80\n"), 0.25);
  const StudyResult r = run_study(machine, 0);
  record_check("linear cage motor stepped in time: fundamental current over the time-harmonic field's",
               value(r, "I_fundamental") / value(r, "I_time_harmonic"), 1, 0.03, "1",
               "time-harmonic field of the same section", "two methods of the program");
  record_check("linear cage motor stepped in time: mean torque over the time-harmonic field's",
               value(r, "torque_time_mean") / value(r, "torque_time_harmonic"), 1, 0.03, "1",
               "time-harmonic field of the same section", "two methods of the program");
  // Power of the sources = copper + cage + shaft over whole periods (conservation of energy); what is left is the
  // transient's rest and the step.
  const double omega = 2 * 3.14159265358979 * 50, shaft = value(r, "torque_time_mean") * omega / 2 * (1 - 0.0233);
  const double copper = 3 * std::pow(value(r, "I_total"), 2) * 0.196782;  // R_phase of the machine's description
  record_check("linear cage motor stepped in time: copper, cage and shaft power over the sources'",
               (copper + value(r, "rotor_conductor_loss") + shaft) / value(r, "P_mean"), 1, 5e-3, "1",
               "conservation of energy", test::kClosedForm);
  EXPECT_LT(value(r, "settled_change"), 0.02);
  EXPECT_GT(value(r, "torque_time_ripple"), 1);
  EXPECT_EQ(value(r, "time_steps"), 240);
}

struct Stop {};

/// Whatever step it is stopped at, the same command goes on from the last checkpoint to the same numbers bit for bit;
/// the growing file has whole rows at that moment.
TEST(SteppingStudy, AStoppedRunUpGoesOnBitForBit) {
  const std::string text = run_up("duration = \"0.045 s\"\n");
  const auto run = [&](const std::string& directory, int stop_at) {
    SteadyCase machine(text, 0.15);
    machine.context.directory = directory;
    int steps = 0;
    machine.context.progress = [&](double) {
      if (++steps == stop_at) throw Stop{};
    };
    return run_study(machine, 0);
  };
  FreshDirectory whole, parts;
  const StudyResult expected = run(whole.path(), 0);
  const std::string file = parts.path() + "/test_time.csv";
  EXPECT_THROW(run(parts.path(), 38), Stop);
  const std::string grown = read_text_file(file);
  ASSERT_FALSE(grown.empty());
  EXPECT_EQ(grown.back(), '\n');
  EXPECT_EQ(std::count(grown.begin(), grown.end(), '\n'), 1 + 26);  // header, start, 25 steps
  EXPECT_THROW(run(parts.path(), 40), Stop);                        // again, 40 steps further
  const StudyResult found = run(parts.path(), 0);
  ASSERT_EQ(found.results.curves.size(), expected.results.curves.size());
  for (size_t c = 0; c < expected.results.curves.front().columns.size(); ++c)
    EXPECT_EQ(found.results.curves.front().columns[c].values, expected.results.curves.front().columns[c].values) << c;
  for (size_t q = 0; q < expected.results.quantities.size(); ++q)
    EXPECT_EQ(found.results.quantities[q].value, expected.results.quantities[q].value);
  ASSERT_EQ(found.frames.size(), expected.frames.size());
  for (size_t f = 0; f < expected.frames.size(); ++f)
    EXPECT_EQ(found.frames[f].solution.a, expected.frames[f].solution.a);
  EXPECT_EQ(read_text_file(file), read_text_file(whole.path() + "/test_time.csv"));
  record_at_most("run-up of a saturated cage motor: source - heat - stored - shaft over the energy moved",
                 std::abs(value(expected, "energy_imbalance")), 5e-3, "1", "conservation of energy", test::kClosedForm);
  EXPECT_GT(value(expected, "n_end"), 500);
}

/// The ready generator with dampers, of constant permeability.
std::string damper_generator() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/damper-generator.toml");
  text.resize(text.find("[[study]]"));
  return replaced(replaced(text, "\"M400-50A\"", "\"linear-steel\""), "\"demo-steel\"", "\"linear-steel\"");
}

/// A load over the field's pull-out torque cannot be held, one well below it is; the load angle passes 270° then.
TEST(SteppingStudy, PullOutByLoadSteps) {
  SteadyCase machine(
      damper_generator() +
          study_text("pull-out",
                     "operation = \"motor\"\npower = \"30 kW\"\ninertia = \"0.3 kg.m^2\"\npositions = 2\n"
                     "hold_time = \"0.06 s\"\ntorque_step = 0.6\nstep_tolerance = 4e-3\nsteps_per_period = 24\n"),
      0.15);
  const StudyResult r = run_study(machine, 0);
  const double at_rest = value(r, "pull_out_torque_at_rest"), first = 30e3 / (2 * 3.14159265 * 25);
  EXPECT_GT(value(r, "torque_lost"), 0.9 * at_rest);
  EXPECT_GE(value(r, "torque_held"), 0.95 * first);
  EXPECT_NEAR(value(r, "torque_lost") - value(r, "torque_held"), 0.6 * at_rest, 1e-6 * at_rest);
  EXPECT_GT(r.results.curves.front().columns.back().values.back(), 270);
}

TEST(SteppingStudy, WhatDoesNotFitIsTold) {
  const auto refusal = [](const std::string& text) -> std::string {
    try {
      SteadyCase machine(text, 0.3);
      run_study(machine, 0);
    } catch (const InputError& error) {
      return error.diagnostics().front().message;
    }
    return "";
  };
  EXPECT_NE(refusal(run_up("duration = \"10 ms\"\n")).find("under two periods"), std::string::npos);
  EXPECT_NE(refusal(small_salient_machine(false) + study_text("steady-state", "slip = 0.1\n"))
                .find("needs a stator winding and"),
            std::string::npos);
  std::string delta = replaced(run_up("neutral = \"connected\"\n"), "power_factor = 0.85",
                               "power_factor = 0.85\nconnection = \"delta\"");
  EXPECT_NE(refusal(delta).find("a delta, which has none"), std::string::npos);
  std::string speedless = replaced(run_up(""), "\"run-up\"\ninertia = \"0.01 kg.m^2\"", "\"steady-state\"");
  EXPECT_NE(refusal(replaced(speedless, "step_tolerance = 5e-3\n", "")).find("says neither slip"), std::string::npos);
}

/// Doubles bit for bit, and nothing from another run's file or one cut short.
TEST(Checkpoint, ComesBackBitForBitOrNotAtAll) {
  FreshDirectory directory;
  const std::string path = directory.path() + "/x";
  Tape tape;
  tape.put(0.1);
  tape.put(std::vector<double>{1e-300, -0.0, 3.0});
  write_checkpoint(path, "mine", tape);
  EXPECT_FALSE(read_checkpoint(path, "other").has_value());
  std::optional<Tape> back = read_checkpoint(path, "mine");
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(back->values(), tape.values());
  EXPECT_EQ(back->get(), 0.1);
  EXPECT_EQ(back->get_list().size(), 3u);
  EXPECT_THROW(back->get(), std::logic_error);
  std::filesystem::resize_file(path, std::filesystem::file_size(path) - 8);
  EXPECT_FALSE(read_checkpoint(path, "mine").has_value());
  EXPECT_NE(fingerprint_of("a", {1}), fingerprint_of("a", {2}));
}

}  // namespace
}  // namespace polepitch
