// Skew by slices against its closed forms.
#include "cases/skew.h"

#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>

#include "post/reactances.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

/// The small salient machine, linear (means over positions then scale exactly), with a skew in its [machine] table.
std::string skewed(double degrees, int slices) {
  return replaced(small_salient_machine(true), "length = \"150 mm\"",
                  fmt::format("length = \"150 mm\"\nskew = \"{} deg\"\nskew_slices = {}", degrees, slices));
}

TEST(Skew, OffsetsLieEquallyAboutTheMiddle) {
  SteadyCase machine(skewed(15, 3), 0.3);
  const std::vector<double> offsets = skew_offsets(machine.kase);
  ASSERT_EQ(offsets.size(), 3u);
  EXPECT_NEAR(offsets[0], -5 * pi / 180, 1e-12);
  EXPECT_NEAR(offsets[1], 0, 1e-12);
  EXPECT_NEAR(offsets[2], 5 * pi / 180, 1e-12);
  SteadyCase straight(small_salient_machine(true), 0.3);
  EXPECT_EQ(skew_offsets(straight.kase), std::vector<double>{0});
}

/// formula: in n slices the fundamental of what the rotor links is sin(pα/2)/(n sin(pα/2n)) of the straight machine's.
/// The means over positions that the steady state takes hold the fundamental and orders 6k ± 1 of the voltage, of which
/// each has its own factor: a few 1e-3 of the voltage here, so that 1e-3 is what may differ.
TEST(Skew, EmfFallsByTheSkewFactor) {
  const std::string study = study_text(
      "load-point",
      "positions = 6\nphase_resistance = \"0 ohm\"\npower = \"0 kW\"\nvoltage = \"230 V\"\nfield_current = \"20 A\"\n");
  SteadyCase straight(small_salient_machine(true) + study, 0.5), turned(skewed(30, 4) + study, 0.5);
  const double factor = std::sin(30 * pi / 180) / (4 * std::sin(7.5 * pi / 180));
  test::record_check("EMF of a machine skewed by 60 degrees electrical in four slices, over the straight one's",
                     value(run_study(turned, 0), "E_0") / value(run_study(straight, 0), "E_0"), factor, 1e-3, "1",
                     "skew factor of n equal slices", test::kClosedForm);
}

std::vector<double> cogging(SteadyCase& machine) {
  const StudyResult r = run_study(machine, 0);
  for (const ResultCurve& curve : r.results.curves)
    if (curve.name == "cogging") return curve.columns.at(1).values;
  return {};
}

/// formula: four slices over one slot pitch, 15 degrees and the period of the cogging, stand 1 and 3 eighths of it
/// before and behind the middle: each of eight angles is the mean of four of the straight machine's. The mesh does not
/// repeat from slot to slot: the straight machine's own torque a slot pitch on differs by up to 0.01 N m, 0.6 % of the
/// largest.
TEST(Skew, CoggingOverASlotPitchIsTheMeanOfItsAngles) {
  const std::string study = study_text("open-circuit",
                                       "field_current = \"20 A\"\npositions = 2\npoints = 3\nemf_positions = 6\n"
                                       "cogging_angles = 8\n");
  SteadyCase straight(small_salient_machine(true) + study, 0.6), turned(skewed(15, 4) + study, 0.6);
  const std::vector<double> before = cogging(straight), after = cogging(turned);
  ASSERT_EQ(before.size(), 8u);
  ASSERT_EQ(after.size(), 8u);
  const double largest = *std::max_element(before.begin(), before.end());
  EXPECT_GT(largest, 1);
  for (size_t k = 0; k < 8; ++k) {
    double mean = 0;
    for (size_t step : {1u, 3u, 5u, 7u}) mean += 0.25 * before[(k + step) % 8];
    EXPECT_NEAR(after[k], mean, 0.01 * largest) << k;
  }
  EXPECT_LT(*std::max_element(after.begin(), after.end()), 0.2 * largest);
}

/// formula: R(φ) L R(−φ) of a pure saliency turns L_d − L_q by twice the angle and leaves L_d + L_q.
TEST(Skew, InductancesTurnWithTheAxes) {
  InductanceMatrix m;
  m.dd = 3, m.qq = 1, m.df = 2, m.fd = 3;
  const InductanceMatrix t = turned(m, 0.3);
  EXPECT_NEAR(t.dd, 2 + std::cos(0.6), 1e-12);
  EXPECT_NEAR(t.qq, 2 - std::cos(0.6), 1e-12);
  EXPECT_NEAR(t.dq, std::sin(0.6), 1e-12);
  EXPECT_NEAR(t.qd, std::sin(0.6), 1e-12);
  EXPECT_NEAR(t.df, 2 * std::cos(0.3), 1e-12);
  EXPECT_NEAR(t.qf, 2 * std::sin(0.3), 1e-12);
}

/// The incremental inductances of a skewed machine predict its field: with them Newton's method on the terminal
/// conditions settles (a code test of the turned axes), and the powers close: terminal = copper + shaft within the
/// mesh's error of the straight machine.
TEST(Skew, LoadPointsSettleAndPowersClose) {
  const std::string study = study_text("load-point", "positions = 6\nphase_resistance = \"0.2 ohm\"\n");
  SteadyCase straight(small_salient_machine(false) + study, 0.6);
  SteadyCase turned(replaced(small_salient_machine(false), "length = \"150 mm\"",
                             "length = \"150 mm\"\nskew = \"15 deg\"\nskew_slices = 3") +
                        study,
                    0.6);
  const StudyResult before = run_study(straight, 0), after = run_study(turned, 0);
  EXPECT_NEAR(value(after, "P_terminal"), 16e3, 1);
  EXPECT_LT(std::abs(value(after, "power_balance")), std::abs(value(before, "power_balance")) + 2e-3);
  EXPECT_GT(value(after, "i_field"), 1.005 * value(before, "i_field"));  // less coupling wants more field
}

/// formula, linear: the axes of slice k stand δ_k ahead, so that of L_d − L_q sin(pα)/(n sin(pα/n)) is left and of the
/// mutual with the field winding sin(pα/2)/(n sin(pα/2n)), while L_d + L_q stays. Six positions leave orders of 36 and
/// more of the slots' ripple in the means, each with its own factor: 1e-3 as above. The parts of the split turn alike
/// and still sum to the whole.
TEST(Skew, ReactancesTurnWithTheSlices) {
  const std::string study =
      study_text("reactances", "positions = 6\nphase_current = \"5 A\"\nfield_current = \"5 A\"\n");
  SteadyCase straight(small_salient_machine(true) + study, 0.5), turned(skewed(15, 3) + study, 0.5);
  const StudyResult before = run_study(straight, 0), after = run_study(turned, 0);
  const double twice = std::sin(pi / 6) / (3 * std::sin(pi / 18)), once = std::sin(pi / 12) / (3 * std::sin(pi / 36));
  const double d = value(before, "X_d_apparent"), q = value(before, "X_q_apparent");
  const double skewed_d = value(after, "X_d_apparent"), skewed_q = value(after, "X_q_apparent");
  test::record_check("X_d of a linear machine skewed by 30 degrees electrical in three slices, over its closed form",
                     skewed_d / (0.5 * (d + q) + 0.5 * (d - q) * twice), 1, 1e-3, "1",
                     "mean of R(phi) L R(-phi) over the slices", test::kClosedForm);
  test::record_check("X_q of the same", skewed_q / (0.5 * (d + q) - 0.5 * (d - q) * twice), 1, 1e-3, "1",
                     "mean of R(phi) L R(-phi) over the slices", test::kClosedForm);
  test::record_check("X_df of the same, over the straight machine's", value(after, "X_df") / value(before, "X_df"),
                     once, 1e-3, "1", "skew factor of n equal slices", test::kClosedForm);
  EXPECT_NEAR(value(after, "X_d_incremental") / skewed_d, 1, 1e-6);  // linear: frozen and tangent are one
  for (const char axis : {'d', 'q'}) {
    double sum = value(after, "X_end_winding");
    for (const char* part : {"X_slot_", "X_tooth_tip_", "X_differential_", "X_magnetising_"})
      sum += value(after, std::string(part) + axis);
    EXPECT_NEAR(sum / value(after, fmt::format("X_{}_apparent", axis)), 1, 1e-9) << axis;
  }
}

/// formula: as of the EMF.
TEST(Skew, MagnetisingCurveFallsByTheSkewFactor) {
  const std::string study = study_text("magnetising-curve", "largest_current = \"10 A\"\npoints = 2\n");
  SteadyCase straight(small_salient_machine(true) + study, 0.5), turned(skewed(30, 4) + study, 0.5);
  const auto end = [](SteadyCase& machine) {
    return run_study(machine, 0).results.curves.at(0).columns.at(1).values.back();
  };
  EXPECT_NEAR(end(turned) / end(straight), std::sin(30 * pi / 180) / (4 * std::sin(7.5 * pi / 180)), 1e-3);
}

/// Code test, saturated: two slices are two straight machines whose rotors stand the offset behind and ahead.
TEST(Skew, WavesAndTorqueOfARestingRotorAreMeansOfTheSlices) {
  const auto study = [](double angle) {
    return study_text("rotating-field", fmt::format("phase_current = \"20 A\"\nfield_current = \"10 A\"\nsteps = 6\n"
                                                    "rotor_angle = \"{} deg\"\n",
                                                    angle));
  };
  SteadyCase straight(small_salient_machine(false) + study(4) + study(14), 0.4);
  SteadyCase turned(replaced(small_salient_machine(false), "length = \"150 mm\"",
                             "length = \"150 mm\"\nskew = \"20 deg\"\nskew_slices = 2") +
                        study(9),
                    0.4);
  const ResultCurve behind = run_study(straight, 0).results.curves.at(1),
                    ahead = run_study(straight, 1).results.curves.at(1),
                    both = run_study(turned, 0).results.curves.at(1);
  ASSERT_EQ(both.columns.at(2).name, "B_r1");
  const auto vector = [](const ResultCurve& curve, size_t k) {
    return std::polar(curve.columns[2].values[k], curve.columns[1].values[k] * pi / 180);
  };
  for (size_t k = 0; k < 6; ++k) {
    const std::complex<double> mean = 0.5 * (vector(behind, k) + vector(ahead, k));
    EXPECT_NEAR(std::abs(vector(both, k) - mean), 0, 1e-6) << k;
    EXPECT_NEAR(both.columns[3].values[k], 0.5 * (behind.columns[3].values[k] + ahead.columns[3].values[k]), 1e-3) << k;
  }
}

/// Without stator current every slice goes through the straight machine's locus, sooner or later: with offsets that are
/// whole steps of the record the samples are the same in another order. 1e-4: the mesh does not repeat from slot to
/// slot.
TEST(Skew, IronLossOnNoLoadIsTheStraightMachines) {
  const std::string study =
      study_text("iron-loss", "phase_current = \"0 A\"\nfield_current = \"10 A\"\nloss_positions = 12\n");
  const std::string laminated = replaced(small_salient_machine(false), "\"M400-50A\"", "\"demo-steel\"");
  SteadyCase straight(laminated + study, 0.4);
  SteadyCase turned(
      replaced(laminated, "length = \"150 mm\"", "length = \"150 mm\"\nskew = \"30 deg\"\nskew_slices = 2") + study,
      0.4);
  const double before = value(run_study(straight, 0), "iron_loss_stator");
  EXPECT_GT(before, 10);
  EXPECT_NEAR(value(run_study(turned, 0), "iron_loss_stator") / before, 1, 1e-4);
}

TEST(Skew, StudiesWithoutItSaySo) {
  StudyResult without, with;
  SteadyCase straight(small_salient_machine(true), 0.3), turned(skewed(15, 2), 0.3);
  warn_without_skew(straight.context, without);
  warn_without_skew(turned.context, with);
  EXPECT_TRUE(without.results.warnings.empty());
  ASSERT_EQ(with.results.warnings.size(), 1u);
  EXPECT_NE(with.results.warnings.back().find("without skew"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
