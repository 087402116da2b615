// Expected: the points themselves, straight lines and smooth functions in closed form.
#include "post/monotone_curve.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

namespace polepitch {
namespace {

MonotoneCurve arctangent(int points) {
  std::vector<double> x, y;
  for (int k = 0; k < points; ++k) {
    x.push_back(3.0 * k / (points - 1));
    y.push_back(std::atan(x.back()));
  }
  return {x, y};
}

TEST(MonotoneCurve, PassesThroughItsPointsAndBack) {
  const MonotoneCurve curve = arctangent(9);
  for (size_t i = 0; i < curve.x().size(); ++i) {
    EXPECT_NEAR(curve.at(curve.x()[i]), curve.y()[i], 1e-15);
    EXPECT_NEAR(curve.where(curve.y()[i]), curve.x()[i], 1e-12);
  }
  EXPECT_NEAR(curve.at(curve.where(0.9)), 0.9, 1e-12);
}

TEST(MonotoneCurve, IsExactOnStraightLinesAndSecondOrderOnCurves) {
  const MonotoneCurve line({0, 1, 5}, {2, 4, 12});
  EXPECT_NEAR(line.at(3.3), 8.6, 1e-14);
  EXPECT_NEAR(line.at(7), 16, 1e-13);
  EXPECT_NEAR(line.at(-1), 0, 1e-13);
  const auto error = [](int points) {
    double largest = 0;
    const MonotoneCurve curve = arctangent(points);
    for (double x = 0; x < 3; x += 0.01) largest = std::max(largest, std::abs(curve.at(x) - std::atan(x)));
    return largest;
  };
  EXPECT_LT(error(33), error(17) / 3.5);  // formula: error falls with the square of the step or faster
}

TEST(MonotoneCurve, RisesBetweenPointsThatRise) {
  const MonotoneCurve curve({0, 1, 2, 3, 10}, {0, 0.1, 5, 5.1, 5.2});
  double before = 0;
  for (double x = 0; x <= 10; x += 0.01) {
    EXPECT_GE(curve.at(x), before - 1e-15);
    before = curve.at(x);
  }
}

TEST(MonotoneCurve, TakesMorePoints) {
  const MonotoneCurve curve = arctangent(5).with(1.0, std::atan(1.0)).with(4.0, std::atan(4.0)).with(1.0, 0.8);
  ASSERT_EQ(curve.x().size(), 7u);
  EXPECT_DOUBLE_EQ(curve.at(1.0), 0.8);
  EXPECT_DOUBLE_EQ(curve.x().back(), 4.0);
  EXPECT_THROW(MonotoneCurve({0, 0}, {1, 2}), std::logic_error);
  EXPECT_THROW(curve.where(2), std::logic_error);
}

}  // namespace
}  // namespace polepitch
