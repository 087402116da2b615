// V-curves and capability of a machine of constant permeability against the two-reactance formulas of any textbook of
// synchronous machines, with X_d, X_q and E of the study reactances at a small current (formula; R = 0, means over 12
// positions); what does not fit is told.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/capability.h"
#include "cases/v_curves.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

/// Three phases, r.m.s.
struct TwoReactanceMachine {
  double x_d = 0, x_q = 0, emf_per_ampere = 0, voltage = 0, speed = 0;

  double power(double e, double delta) const {
    return 3 *
           (e * voltage / x_d * std::sin(delta) + 0.5 * voltage * voltage * (1 / x_q - 1 / x_d) * std::sin(2 * delta));
  }
  double reactive(double e, double delta) const {
    const double c = std::cos(delta), s = std::sin(delta);
    return 3 * (e * voltage / x_d * c - voltage * voltage * (c * c / x_d + s * s / x_q));
  }
  double synchronising(double e, double delta) const {
    return 3 / speed *
           (e * voltage / x_d * std::cos(delta) + voltage * voltage * (1 / x_q - 1 / x_d) * std::cos(2 * delta));
  }
};

TwoReactanceMachine two_reactance_machine(SteadyCase& machine, size_t reactances_study) {
  const StudyResult small = run_study(machine, reactances_study);
  const PerUnitBase base = per_unit_base(machine.kase.machine);
  const double rms = 1 / std::sqrt(2.0);
  return {value(small, "X_d_apparent"), value(small, "X_q_apparent"), rms * value(small, "X_df"), rms * base.voltage,
          base.omega / machine.section.pole_pairs};
}

const char* const small_current = "positions = 12\nphase_current = \"1 A\"\nfield_current = \"1 A\"\n";

const std::vector<double>& column(const ResultCurve& curve, const std::string& name) {
  for (const Column& c : curve.columns)
    if (c.name == name) return c.values;
  throw std::invalid_argument("no column " + name);
}

/// Tolerances: the reactances are means over positions, as the points are; what the formula leaves out are the
/// products of their ripples, 1e-3 of a quantity whose own ripple is 3 %.
TEST(VCurves, LinearMachineFollowsTheTwoReactanceFormulas) {
  SteadyCase machine(small_salient_machine(true) +
                         study_text("v-curves",
                                    "positions = 12\npoints = 7\npowers = [\"0 kW\", \"10 kW\"]\n"
                                    "phase_resistance = \"0 ohm\"\n") +
                         study_text("reactances", small_current),
                     0.4);
  const StudyResult curves = run_study(machine, 0);
  const TwoReactanceMachine two = two_reactance_machine(machine, 1);
  const ResultCurve& table = curves.results.curves.at(0);
  const auto &power = column(table, "P_terminal"), &reactive = column(table, "Q_terminal"),
             &field = column(table, "i_field"), &angle = column(table, "load_angle"),
             &hold = column(table, "synchronising_torque");
  ASSERT_GE(power.size(), 9u);
  for (size_t k = 0; k < power.size(); ++k) {
    const double e = two.emf_per_ampere * field[k], delta = -angle[k] * pi / 180;  // generator: E leads
    EXPECT_NEAR(two.power(e, delta), power[k], 2e-3 * 20e3) << k;
    EXPECT_NEAR(two.reactive(e, delta), reactive[k], 2e-3 * 20e3) << k;
    EXPECT_NEAR(two.synchronising(e, delta), hold[k], 2e-3 * two.synchronising(two.voltage, 0)) << k;
  }
  EXPECT_NEAR(value(curves, "i_field_unity"), two.voltage / two.emf_per_ampere, 2e-3 * field.front());
}

/// The chart's lines pass through the points, the lowest at power factor 1.
TEST(VCurves, ChartHasItsLowestPointAtUnityPowerFactor) {
  SteadyCase machine(
      small_salient_machine(false) + study_text("v-curves",
                                                "positions = 1\npoints = 9\npowers = [\"8 kW\"]\noperation = "
                                                "\"motor\"\nphase_resistance = \"0.2 ohm\"\n"),
      0.3);
  const StudyResult r = run_study(machine, 0);
  const Construction& chart = r.results.constructions.at(0);
  const std::vector<double>& current = chart.lines.at(0).y;
  const double least = *std::min_element(current.begin(), current.end());
  EXPECT_NEAR(least, value(r, "I_phase"), 1e-9 * least);
  EXPECT_NEAR(least, 8e3 / (std::sqrt(3.0) * 400), 1e-6 * least);
  const ResultCurve& table = r.results.curves.at(0);
  EXPECT_GT(column(table, "load_angle").front(), 0);  // a motor's E lags
  EXPECT_LT(column(table, "Q_terminal").front(), 0);  // and over-excited it delivers reactive power
  EXPECT_GT(column(table, "i_field").front(), value(r, "i_field_unity"));
}

TEST(Capability, LinearMachineFollowsTheTwoReactanceFormulas) {
  SteadyCase machine(small_salient_machine(true) +
                         study_text("capability",
                                    "positions = 12\npoints = 5\nlargest_field_current = \"65 A\"\n"
                                    "phase_resistance = \"0 ohm\"\nstability_margin = 0.2\n") +
                         study_text("reactances", small_current),
                     0.4);
  const StudyResult chart = run_study(machine, 0);
  const TwoReactanceMachine two = two_reactance_machine(machine, 1);
  const double s = 20e3, e = 65 * two.emf_per_ampere;
  // Reactive powers without active power, at the field limit and without field current.
  EXPECT_NEAR(value(chart, "Q_most_no_load"), std::min(s, two.reactive(e, 0)), 3e-3 * s);
  EXPECT_NEAR(value(chart, "Q_least_no_load"), std::max(-s, two.reactive(0, 0)), 3e-3 * s);
  // Pull-out at each field current: the largest of the formula over δ.
  const ResultCurve& pull_out = chart.results.curves.at(1);
  const auto &field = column(pull_out, "i_field"), &power = column(pull_out, "P_pull_out");
  // A quarter of the field limit is past the largest power already: there the steps are divided again.
  ASSERT_EQ(field.size(), 5u);
  EXPECT_NEAR(field.back(), 65.0 / 4, 1e-9);
  for (size_t k = 0; k < field.size(); ++k) {
    double most = 0;
    for (int d = 1; d < 1800; ++d) most = std::max(most, two.power(two.emf_per_ampere * field[k], d * pi / 1800));
    EXPECT_NEAR(power[k], most, 2e-3 * std::max(s, most)) << k;
  }
  // Every allowed point lies within the rated armature current.
  const ResultCurve& limits = chart.results.curves.at(0);
  const auto &p = column(limits, "P_terminal"), &most = column(limits, "Q_most"), &least = column(limits, "Q_least");
  ASSERT_GT(p.size(), 5u);
  for (size_t k = 0; k < p.size(); ++k) {
    EXPECT_LE(std::hypot(p[k], most[k]), s * (1 + 1e-9));
    EXPECT_LE(std::hypot(p[k], least[k]), s * (1 + 1e-9));
    EXPECT_LT(least[k], most[k]);
  }
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

TEST(VCurves, WhatDoesNotFitIsTold) {
  const std::string machine = small_salient_machine(false);
  EXPECT_NE(refusal(machine + study_text("v-curves", "points = 8\n")).find("points = 8 is even"), std::string::npos);
  EXPECT_NE(
      refusal(machine + study_text("v-curves", "powers = [\"90 kW\"]\n")).find("90 kW needs more than the largest"),
      std::string::npos);
  std::string magnets = read_text_file(SOURCE_DIR "/cases/machines/ring-magnet-machine.toml");
  magnets.resize(magnets.find("[[study]]"));
  for (const char* type : {"v-curves", "capability"})
    EXPECT_NE(refusal(magnets + study_text(type, "")).find("needs a field winding"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
