// The slip study on two lines: forward and backward field of a pulsating one, of linear iron.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/cage_case_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

std::string linear_motor() {
  std::string text = replaced(cage_motor(), "\"M400-50A\"", "\"linear-steel\"");
  return replaced(text, "\"shaft-steel\"", "\"linear-steel\"");
}

double at(const ResultCurve& curve, const std::string& column, size_t k) {
  for (const Column& c : curve.columns)
    if (c.name == column) return c.values.at(k);
  ADD_FAILURE() << column;
  return 0;
}

/// Textbook (double revolving field; formula): two lines of a star hold both sequences in series, so that at standstill
/// the current is √3/2 of the three-phase one and nothing turns; at a slip s the parts are the three-phase torques of s
/// and 2 − s by the square of the current. 1e-5: Newton's rest of linear fields, by other supplies.
TEST(TwoLines, AreForwardAndBackwardFieldInSeries) {
  SteadyCase machine(linear_motor() + study_text("slip", "supply = \"two-lines\"\nslips = [1, 0.05]\n") +
                         study_text("slip", "slips = [1.95, 1, 0.05]\n"),
                     0.2);
  const StudyResult two = run_study(machine, 0), three = run_study(machine, 1);
  const ResultCurve &pulsating = two.results.curves.at(0), &turning = three.results.curves.at(0);
  // Slips rise: 0.0233 (rated, in the first alone), 0.05, 1, and 1.95 in the second.
  ASSERT_DOUBLE_EQ(at(pulsating, "slip", 1), 0.05);
  ASSERT_DOUBLE_EQ(at(turning, "slip", 0), 0.05);
  ASSERT_DOUBLE_EQ(at(turning, "slip", 2), 1.95);
  EXPECT_NEAR(at(pulsating, "I_line", 2), std::sqrt(0.75) * at(turning, "I_phase", 1),
              1e-5 * at(turning, "I_phase", 1));
  EXPECT_NEAR(at(pulsating, "torque", 2), 0, 1e-5 * at(turning, "torque", 1));
  const double current = at(pulsating, "I_line", 1) / std::sqrt(3.0);  // of each sequence
  const double forward = at(turning, "torque", 0) * std::pow(current / at(turning, "I_phase", 0), 2);
  const double backward = at(turning, "torque", 2) * std::pow(current / at(turning, "I_phase", 2), 2);
  EXPECT_NEAR(at(pulsating, "torque", 1), forward - backward, 1e-5 * forward);
  EXPECT_GT(at(pulsating, "torque_pulsation", 1), 0.5 * forward);
  EXPECT_NEAR(value(two, "cage_power_balance"), 0, 1e-5);
  EXPECT_TRUE(two.results.warnings.empty());
}

TEST(TwoLines, SaturationIsTold) {
  SteadyCase machine(cage_motor() + study_text("slip", "supply = \"two-lines\"\nslips = [0.05]\n"), 0.15);
  const StudyResult r = run_study(machine, 0);
  ASSERT_EQ(r.results.warnings.size(), 1U);
  EXPECT_NE(r.results.warnings[0].find("saturate by themselves"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
