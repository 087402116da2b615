// Skew by slices against its closed forms.
#include "cases/skew.h"

#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

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

TEST(Skew, StudiesWithoutItSaySo) {
  SteadyCase machine(skewed(15, 2) + study_text("reactances", "positions = 2\nphase_current = \"5 A\"\n"), 0.3);
  const StudyResult r = run_study(machine, 0);
  ASSERT_FALSE(r.results.warnings.empty());
  EXPECT_NE(r.results.warnings.back().find("without skew"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
