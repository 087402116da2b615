// Studies in time with switches, deltas, wound rotors and loads.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using std::numbers::pi;
using test::record_check;

/// The small cage machine of tests/physics with 100 ohm in each phase: a circuit of resistors.
std::string resistive(const std::string& connection, const std::string& lines) {
  std::string text = read_text_file(SOURCE_DIR "/tests/physics/cage.toml");
  text = replaced(text, "bars = 22\n",
                  "bars = 22\nring_height = \"14 mm\"\nring_width = \"10 mm\"\nring_mean_diameter = \"90 mm\"\n");
  text = replaced(text, "power_factor = 0.85", "power_factor = 0.85\nconnection = \"" + connection + "\"");
  return text + study_text("run-up",
                           "inertia = \"100 kg.m^2\"\nphase_resistance = \"100 ohm\"\n"
                           "steps_per_period = 60\n" +
                               lines);
}

struct Lines {
  std::vector<double> time, current[3];
};

Lines lines_of(const StudyResult& r, bool delta) {
  Lines l;
  const ResultCurve& log = r.results.curves.front();
  l.time = log.columns[0].values;
  for (size_t k = 0; k < 3; ++k) {
    l.current[k] = log.columns[4 + k].values;
    const std::vector<double>& before = log.columns[4 + (k + 2) % 3].values;
    for (size_t i = 0; delta && i < l.time.size(); ++i) l.current[k][i] -= before[i];
  }
  return l;
}

/// Time from which the line carries less than 1e-3 of its largest current.
double cleared(const Lines& l, size_t line) {
  double largest = 0;
  for (double i : l.current[line]) largest = std::max(largest, std::abs(i));
  size_t n = l.time.size();
  while (n > 0 && std::abs(l.current[line][n - 1]) <= 1.01e-3 * largest) --n;
  return l.time[std::min(n, l.time.size() - 1)];
}

/// formula (three-phase switching without a neutral; IEC 62271-100 calls it the first pole to clear): the first line
/// clears at a zero of its current, within a sixth of the period; the other two then carry one current, of their line
/// voltage, whose zero comes a quarter of the period later. 1 % of that: a zero is 1e-3 of the amplitude, 0.06 % of a
/// quarter, and inductance turns both currents by angles that differ by some thousandths.
void expect_opening_at_zeros(const std::string& connection) {
  SteadyCase machine(resistive(connection, "duration = \"0.06 s\"\nopening_time = \"21.7 ms\"\n"), 0.15);
  const Lines l = lines_of(run_study(machine, 0), connection == "delta");
  std::vector<double> times;
  for (size_t k = 0; k < 3; ++k) times.push_back(cleared(l, k));
  std::sort(times.begin(), times.end());
  EXPECT_GE(times[0], 0.0217);
  EXPECT_LE(times[0], 0.0217 + 0.02 / 6 + 1e-4);
  EXPECT_NEAR(times[1], times[2], 1e-9);
  record_check(connection + ": quarter of a period from the first line's opening to the other two's",
               times[2] - times[0], 5e-3, 5e-5, "s", "first pole to clear, IEC 62271-100 (formula)", test::kClosedForm);
}

TEST(SteppingSwitches, LinesOfAStarOpenAtZeros) {
  expect_opening_at_zeros("star");
}

TEST(SteppingSwitches, LinesOfADeltaOpenAtZeros) {
  expect_opening_at_zeros("delta");
}

struct Stop {};

/// Stopped at any step around opening and reclosing, the run goes on to the same rows.
TEST(SteppingSwitches, GoesOnBitForBitAcrossSwitchings) {
  const std::string text = resistive("star",
                                     "duration = \"0.05 s\"\nopening_time = \"10 ms\"\nreclosing_time = \"30 ms\"\n"
                                     "step_tolerance = 5e-3\n");
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
  for (int stop : {27, 30, 40, 60}) try {
      run(parts.path(), stop);
    } catch (const Stop&) {
    }
  const StudyResult found = run(parts.path(), 0);
  const std::vector<Column>&a = found.results.curves.front().columns, &b = expected.results.curves.front().columns;
  for (size_t c = 0; c < b.size(); ++c) EXPECT_EQ(a[c].values, b[c].values) << b[c].name;
  const auto& time = b[0].values;
  for (size_t i = 0; i < time.size(); ++i) {  // 10 ms are enough for all lines to clear
    if (time[i] > 0.022 && time[i] < 0.03) {
      EXPECT_EQ(b[4].values[i], 0) << time[i];
    }
  }
  EXPECT_GT(std::abs(b[4].values.back()) + std::abs(b[5].values.back()), 0.5);  // closed again
}

std::string linear(const std::string& name, const std::string& steel) {
  std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/" + name + ".toml");
  text.resize(text.find("[[study]]"));
  return replaced(text, "\"" + steel + "\"", "\"linear-steel\"");
}

/// One machine by two methods, 3 % as for cages: the time-harmonic field couples both sides by the fundamental alone.
TEST(SteppingSwitches, SteadyStateOfAWoundRotor) {
  SteadyCase machine(linear("wound-rotor-motor", "M530-50A") +
                         study_text("steady-state",
                                    "slip = 0.3\nsteps_per_period = 60\nexternal_resistance = \"0.05 "
                                    "ohm\"\nsettling_periods = 3\n"),
                     0.25);
  const StudyResult r = run_study(machine, 0);
  record_check("linear motor with a wound rotor stepped in time: fundamental current over the time-harmonic field's",
               value(r, "I_fundamental") / value(r, "I_time_harmonic"), 1, 0.03, "1",
               "time-harmonic field of the same section", "two methods of the program");
  record_check("linear motor with a wound rotor stepped in time: mean torque over the time-harmonic field's",
               value(r, "torque_time_mean") / value(r, "torque_time_harmonic"), 1, 0.03, "1",
               "time-harmonic field of the same section", "two methods of the program");
}

/// Started with resistors between its slip rings, which a switch bypasses: energies close, rotor phases sum to nothing,
/// and the resistors take their share of the rotor's heat.
TEST(SteppingSwitches, RunUpOfAWoundRotor) {
  SteadyCase machine(
      linear("wound-rotor-motor", "M530-50A") +
          study_text("run-up",
                     "inertia = \"0.02 kg.m^2\"\nexternal_resistance = \"0.3 ohm\"\nring_bypass_time = \"40 "
                     "ms\"\nduration = \"0.06 s\"\nsteps_per_period = 40\nstep_tolerance = 2e-3\n"),
      0.15);
  const StudyResult r = run_study(machine, 0);
  // conservation of energy; the second-order step leaves some 1e-3 at 40 steps a period.
  EXPECT_LT(std::abs(value(r, "energy_imbalance")), 5e-3);
  EXPECT_GT(value(r, "heat_rotor"), 0);
  EXPECT_GT(value(r, "heat_stator"), 0);
  const std::vector<Column>& log = r.results.curves.front().columns;
  ASSERT_EQ(log.size(), 12u);
  for (size_t i = 0; i < log[0].values.size(); i += 7)
    EXPECT_NEAR(log[9].values[i] + log[10].values[i] + log[11].values[i], 0, 1e-9 * value(r, "I_peak"));
  // formula: what the rotor takes besides its heat is work and kinetic energy; P_rotor is R_2 Σ i².
  for (size_t i : {log[0].values.size() / 3, log[0].values.size() - 1}) {
    const double square =
        std::pow(log[9].values[i], 2) + std::pow(log[10].values[i], 2) + std::pow(log[11].values[i], 2);
    const double own = 0.060411, all = log[0].values[i] > 0.04 ? own : own + 0.3;  // of the machine's page
    EXPECT_NEAR(log[8].values[i], all * square, 1e-3 * all * square);
  }
}

std::string generator(const std::string& rating, const std::string& lines) {
  std::string text = replaced(linear("damper-generator", "M400-50A"), "\"demo-steel\"", "\"linear-steel\"");
  text = replaced(text, "line_voltage = \"400 V\"\n", "");
  text = replaced(text, "coil_span = 10 ", "coil_span = 8 ");
  text = replaced(text, "connection = \"star\"", rating);
  return text + study_text("sudden-short-circuit",
                           "steps_per_period = 40\nstep_tolerance = 2e-3\npositions = 2\n"
                           "duration = \"0.1 s\"\n" +
                               lines);
}

/// formula: phases of a delta at 400/√3 V are those of a star at 400 V but for what goes round the delta. Coils of two
/// thirds of the pole pitch link no third harmonic; of the ninth and of the zero sequence that slots make, 1 % is left.
TEST(SteppingSwitches, ShortedDeltaIsTheStarOfTheSamePhaseVoltage) {
  SteadyCase star(generator("connection = \"star\"\nline_voltage = \"400 V\"", ""), 0.15);
  SteadyCase delta(generator("connection = \"delta\"\nline_voltage = \"230.940108 V\"", ""), 0.15);
  const StudyResult a = run_study(star, 0), b = run_study(delta, 0);
  for (const char* name : {"I_peak", "torque_peak", "X_d_subtransient", "i_field"})
    record_check(std::string("sudden short circuit in delta over the star's at the same phase voltage: ") + name,
                 value(b, name) / value(a, name), 1, 0.01, "1", "phases of delta and star (formula)",
                 test::kClosedForm);
}

/// From rated load: the steps begin at it. formula: torque = (P + 3 I² R)/Ω of the generator, 36 kW and 70 mohm at 65
/// A. Band: 6 % peak to peak of slot ripple at one position.
TEST(SteppingSwitches, ShortCircuitFromLoadBeginsAtTheLoad) {
  SteadyCase machine(generator("connection = \"star\"\nline_voltage = \"400 V\"", "from = \"load\"\n"), 0.15);
  const StudyResult r = run_study(machine, 0);
  const std::vector<Column>& log = r.results.curves.front().columns;
  const double speed = 2 * pi * 25, current = 45e3 / (std::sqrt(3.0) * 400);
  record_check("short circuit from load: torque of the first row over that of the load", log[3].values.front(),
               -(36e3 + 3 * 0.0698 * current * current) / speed, 15, "N m", "power balance (formula)",
               test::kClosedForm);
  double square = 0;
  for (size_t k = 0; k < 3; ++k) square += std::pow(log[4 + k].values.front(), 2);
  record_check("short circuit from load: current of the first row over that of the load",
               std::sqrt(square / 3) / current, 1, 0.01, "1", "apparent power (formula)", test::kClosedForm);
}

TEST(SteppingSwitches, WhatDoesNotFitIsTold) {
  const auto refusal = [](const std::string& text) -> std::string {
    try {
      SteadyCase machine(text, 0.3);
      run_study(machine, 0);
    } catch (const InputError& error) {
      return error.diagnostics().front().message;
    }
    return "";
  };
  const std::string skewed = replaced(read_text_file(SOURCE_DIR "/tests/physics/cage.toml"), "length = \"120 mm\"\n",
                                      "length = \"120 mm\"\nskew = \"10 deg\"\n") +
                             study_text("steady-state", "slip = 0.1\n");
  EXPECT_NE(refusal(skewed).find("that machine.skew takes away"), std::string::npos);
  EXPECT_NE(refusal(resistive("star", "reclosing_time = \"30 ms\"\n")).find("the switch never opens"),
            std::string::npos);
  EXPECT_NE(refusal(resistive("star", "opening_time = \"40 ms\"\nreclosing_time = \"30 ms\"\n")).find("is not after"),
            std::string::npos);
  EXPECT_NE(refusal(resistive("star", "ring_bypass_time = \"30 ms\"\n")).find("no resistance between"),
            std::string::npos);
  EXPECT_NE(refusal(resistive("star", "external_resistance = \"1 ohm\"\n")).find("no slip rings"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
