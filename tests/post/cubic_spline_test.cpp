// Expected: polynomials that a cubic spline holds exactly.
#include "post/cubic_spline.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <stdexcept>

namespace polepitch {
namespace {

TEST(CubicSpline, HoldsCubicPolynomialsAndGoesStraightOn) {
  const std::vector<double> x{-1, 0.2, 0.9, 2, 3.5};
  const auto cubic = [](double t) { return 2 - t + 0.5 * t * t - 0.3 * t * t * t; };
  const auto slope = [](double t) { return -1 + t - 0.9 * t * t; };
  std::vector<double> y;
  for (double t : x) y.push_back(cubic(t));
  const std::vector<double> s = spline_slopes(x, y);
  for (size_t i = 0; i < x.size(); ++i) EXPECT_NEAR(s[i], slope(x[i]), 1e-12);
  for (double t : {-1.0, -0.4, 0.2, 1.3, 3.5, 4.5, -2.0}) {
    const SplineShares w = spline_shares(x, t);
    double value = 0, derivative = 0;
    for (size_t k = 0; k < 2; ++k) {
      value += w.value[k] * y[w.at[k]] + w.slope[k] * s[w.at[k]];
      derivative += w.dvalue[k] * y[w.at[k]] + w.dslope[k] * s[w.at[k]];
    }
    const double end = std::clamp(t, -1.0, 3.5);  // formula: the tangent at the end
    EXPECT_NEAR(value, cubic(end) + (t - end) * slope(end), 1e-12);
    EXPECT_NEAR(derivative, slope(end), 1e-12);
  }
}

TEST(CubicSpline, FewPointsMakeAParabolaALineAConstant) {
  EXPECT_EQ(spline_slopes(std::vector<double>{3}, std::vector<double>{7}), (std::vector<double>{0}));
  EXPECT_EQ(spline_slopes(std::vector<double>{0, 2}, std::vector<double>{1, 5}), (std::vector<double>{2, 2}));
  const std::vector<double> parabola = spline_slopes(std::vector<double>{0, 1, 3}, std::vector<double>{0, 1, 9});
  for (size_t i = 0; i < 3; ++i) EXPECT_NEAR(parabola[i], (std::vector<double>{0, 2, 6})[i], 1e-14);  // y = x²
}

TEST(SplineSurface, HoldsBicubicPolynomials) {
  const auto bicubic = [](double x, double y) { return 1 + x * x * x * y * y - 2 * x * y * y * y + 0.5 * x * x; };
  const std::vector<double> x{-1, 0, 0.7, 2, 2.5}, y{0, 0.4, 1.5, 2};
  std::vector<double> z;
  for (double b : y)
    for (double a : x) z.push_back(bicubic(a, b));
  const SplineSurface surface(x, y, z);
  for (double a : {-0.9, 0.0, 1.3, 2.4})
    for (double b : {0.1, 0.4, 1.9}) EXPECT_NEAR(surface.at(a, b), bicubic(a, b), 1e-11);
  EXPECT_THROW(SplineSurface(x, y, {1, 2}), std::logic_error);
}

}  // namespace
}  // namespace polepitch
