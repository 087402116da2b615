#include "post/figure_axes.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace polepitch {
namespace {

TEST(Axes, TidySteps) {
  EXPECT_DOUBLE_EQ(tidy_step(10, 10), 1);
  EXPECT_DOUBLE_EQ(tidy_step(7, 5), 2);
  EXPECT_DOUBLE_EQ(tidy_step(0.0031, 8), 0.0005);
  EXPECT_EQ(tidy_ticks({-1, 1}, 4), (std::vector<double>{-1, -0.5, 0, 0.5, 1}));
}

TEST(Axes, DegreesDivideTheCircle) {
  EXPECT_EQ(degree_ticks({0, 360}, 12).size(), 13u);
  EXPECT_EQ(degree_ticks({0, 90}, 6), (std::vector<double>{0, 15, 30, 45, 60, 75, 90}));
}

TEST(Axes, RangesTakeAnyData) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double values[] = {1.2, nan, 3.7};
  const Range r = tidy_range(values, 5);
  EXPECT_LE(r.low, 1.2);
  EXPECT_GE(r.high, 3.7);
  const double constant[] = {5, 5, 5 + 1e-14};
  EXPECT_LT(tidy_range(constant, 5).low, 5);
  EXPECT_GT(tidy_range(constant, 5).high, 5);
  EXPECT_DOUBLE_EQ(tidy_range({}, 5).high, 1);
}

TEST(Axes, Labels) {
  EXPECT_EQ(tick_label(-0.5, 0.5), "\u22120.5");
  EXPECT_EQ(tick_label(1e-17, 0.5), "0.0");
  EXPECT_EQ(tick_label(150, 50), "150");
  EXPECT_EQ(axis_label("rotor_angle", "deg"), "rotor angle [deg]");
  EXPECT_EQ(axis_label("X_d_apparent", "ohm"), "X_d_apparent [ohm]");
  EXPECT_EQ(axis_label("order", ""), "order");
  EXPECT_EQ(axis_label("stator.slot.opening_width", "mm"), "stator.slot.opening_width [mm]");
}

TEST(Axes, MissingValuesBreakTheLine) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double x[] = {0, 1, 2, 3}, y[] = {0, 1, nan, 1};
  PlotArea plot{0, 0, 100, 100, {0, 3}, {0, 1}};
  int moves = 0;
  for (const Path::Step& s : plot_line(plot, x, y).steps) moves += s.verb == Path::Verb::move ? 1 : 0;
  EXPECT_EQ(moves, 2);
}

}  // namespace
}  // namespace polepitch
