// Runs side by side: what is matched with what, and when a difference is clear. Expected values by construction.
#include "post/comparison.h"

#include <gtest/gtest.h>

#include <cmath>

#include "post/comparison_page.h"

namespace polepitch {
namespace {

Quantity made(const std::string& name, double value, std::optional<double> error, const std::string& point = "") {
  Quantity q;
  q.study = "slip", q.name = name, q.value = value, q.error = error, q.unit = "N m", q.key_result = true;
  if (!point.empty()) q.at = {{"point", point}};
  return q;
}

RunRecord run(const std::string& label, std::vector<Quantity> quantities) {
  RunRecord record{label, label, "machine", "0.1.0", {}};
  record.results.quantities = std::move(quantities);
  return record;
}

const ComparedValue& second(const ComparedRow& row) {
  return row.values.at(1).value();
}

TEST(Comparison, DifferencesAreClearBeyondTwiceBothErrors) {
  // Errors 3 and 4: root of the sum of squares 5, twice that 10.
  const auto c = compare_runs({run("a", {made("torque", 100, 3), made("current", 100, 3), made("count", 7, {}),
                                         made("half", 100, 3), made("least", -10, 0.1)}),
                               run("b", {made("torque", 109, 4), made("current", 111, 4), made("count", 7, {}),
                                         made("half", 100, {}), made("least", -9, 0.1)})});
  ASSERT_EQ(c.rows.size(), 5u);
  EXPECT_EQ(second(c.rows[0]).difference->verdict, Difference::Verdict::within);
  EXPECT_EQ(second(c.rows[1]).difference->verdict, Difference::Verdict::clear);
  EXPECT_DOUBLE_EQ(*second(c.rows[1]).difference->relative, 0.11);
  EXPECT_EQ(second(c.rows[2]).difference->verdict, Difference::Verdict::within);  // a count without error, the same
  EXPECT_EQ(second(c.rows[3]).difference->verdict, Difference::Verdict::unknown);
  EXPECT_EQ(difference_text(*second(c.rows[4]).difference), "-10.00 %");  // a tenth less of what was negative
  EXPECT_FALSE(c.rows[0].values[0]->difference);
}

TEST(Comparison, PointsAreMatchedByNameAndWhatIsMissingStaysEmpty) {
  const auto c = compare_runs(
      {run("a", {made("torque", 1, {}, "rated"), made("torque", 2, {}, "largest")}),
       run("b", {made("torque", 20, {}, "largest"), made("torque", 10, {}, "rated"), made("loss", 5, {}, "rated")}),
       run("c", {made("torque", 7, {}, "at 12 A")})});
  ASSERT_EQ(c.rows.size(), 3u);
  EXPECT_EQ(second(c.rows[0]).value, 10);
  EXPECT_EQ(second(c.rows[1]).value, 20);
  EXPECT_TRUE(c.rows[1].same_point);
  EXPECT_EQ(c.rows[2].name, "loss");
  EXPECT_FALSE(c.rows[2].values[0]);
  EXPECT_FALSE(second(c.rows[2]).difference);  // nothing to differ from
  EXPECT_EQ(c.rows[0].values[2]->value, 7);    // another point, matched in order and said to be so
  EXPECT_FALSE(c.rows[0].same_point);
}

RunRecord with_curve(const std::string& label, std::vector<double> x, std::vector<double> y) {
  RunRecord record = run(label, {});
  record.results.curves = {{"slip", "curve", "Torque <over> slip", {{"slip", "", x}, {"torque", "N m", y}}, false}};
  return record;
}

TEST(Comparison, CurvesMeetOnTheUnionOfTheirAbscissas) {
  const std::vector<RunRecord> runs = {with_curve("a", {0, 1, 2}, {5, 6, 7}), with_curve("b", {0, 0.5}, {1, 2})};
  const auto c = compare_runs(runs);
  ASSERT_EQ(c.curves.size(), 1u);
  const auto& columns = c.curves[0].curve.columns;
  EXPECT_EQ(columns[0].values, (std::vector<double>{0, 0.5, 1, 2}));
  EXPECT_EQ(columns[1].name, "a");
  EXPECT_TRUE(std::isnan(columns[1].values[1]));
  EXPECT_EQ(columns[2].values[1], 2);
  EXPECT_TRUE(c.curves[0].rising);
  EXPECT_TRUE(compare_runs({with_curve("a", {0, 1}, {1, 2}), run("b", {})}).curves.empty());  // nothing to lay over
  const std::string page = comparison_page(runs, c, {{"Section", {{"a", "<svg></svg>"}}}}, "0.1.0");
  for (const char* part :
       {"data-chart=\"slip_curve_torque\"", "Torque &lt;over&gt; slip", "<svg></svg>", "\"joined\":true"})
    EXPECT_NE(page.find(part), std::string::npos) << part;
}

}  // namespace
}  // namespace polepitch
