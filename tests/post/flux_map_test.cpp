// Expected: the grid's own points, polynomials that the splines hold exactly, and a smooth saturating machine in closed
// form, from which the map is sampled.
#include "post/flux_map.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "tests/verification_helper.h"

namespace polepitch {
namespace {

struct Truth {
  double lambda_d, lambda_q, torque;
};

/// Magnets and saturation with cross-coupling: λ = ∂W'/∂i of W' = a ln cosh … (closed form, reciprocal by
/// construction).
Truth machine(double d, double q, double f = 0) {
  const double x = (d + 60 + 5 * f) / 80, y = q / 50, s = std::sqrt(1 + x * x + y * y);
  Truth t;  // W' = 2 s: λ_d = 2 x/(80 s), λ_q = 2 y/(50 s)
  t.lambda_d = 2 * x / (80 * s) + 1e-4 * d;
  t.lambda_q = 2 * y / (50 * s) + 1e-4 * q;
  t.torque = 1.5 * 4 * (t.lambda_d * q - t.lambda_q * d);
  return t;
}

FluxMap sampled(int count, std::vector<double> i_f = {0}) {
  FluxMap map;
  map.pole_pairs = 4;
  for (int k = 0; k < count; ++k) {
    map.i_d.push_back(-120 + 150.0 * k / (count - 1));
    map.i_q.push_back(-100 + 200.0 * k / (count - 1));
  }
  map.i_f = std::move(i_f);
  for (double f : map.i_f)
    for (double q : map.i_q)
      for (double d : map.i_d) {
        const Truth t = machine(d, q, f);
        map.lambda_d.push_back(t.lambda_d);
        map.lambda_q.push_back(t.lambda_q);
        map.lambda_f.push_back(f);
        map.torque.push_back(t.torque);
      }
  return map;
}

TEST(FluxMap, IsExactOnItsGrid) {
  const FluxMap map = sampled(7, {0, 3});
  const FluxMapSurface surface(map);
  for (size_t f = 0; f < 2; ++f)
    for (size_t q = 0; q < 7; ++q)
      for (size_t d = 0; d < 7; ++d) {
        const FluxMapPoint p = surface.at(map.i_d[d], map.i_q[q], map.i_f[f]);
        EXPECT_DOUBLE_EQ(p.lambda_d, map.lambda_d[map.at(d, q, f)]);
        EXPECT_DOUBLE_EQ(p.lambda_q, map.lambda_q[map.at(d, q, f)]);
        EXPECT_DOUBLE_EQ(p.torque, map.torque[map.at(d, q, f)]);
        EXPECT_DOUBLE_EQ(p.lambda_f, map.i_f[f]);
      }
}

double largest_error(int count) {
  const FluxMapSurface surface(sampled(count));
  double largest = 0;
  for (double d = -119; d < 30; d += 3.1)
    for (double q = -99; q < 100; q += 3.7)
      largest = std::max(largest, std::abs(surface.at(d, q).lambda_d - machine(d, q).lambda_d));
  return largest;
}

TEST(FluxMap, ErrorFallsWithTheFourthPowerOfTheStep) {
  const double rate = std::log2(largest_error(33) / largest_error(65));
  test::record_at_least("order of a flux map between its points", rate, 3.7, "1",  // formula: cubic splines, h⁴
                        "interpolating cubic splines", test::kRate);
}

TEST(FluxMap, InductancesAreItsDerivatives) {
  const FluxMapSurface surface(sampled(33));
  const double d = -47, q = 38, x = (d + 60) / 80, y = q / 50, s3 = std::pow(1 + x * x + y * y, 1.5);
  const FluxMapPoint p = surface.at(d, q);
  // Formula: second derivatives of 2 √(1 + x² + y²), and the straight parts; the spline's slopes are of third order.
  EXPECT_NEAR(p.l_dd, 2 * (1 + y * y) / (80 * 80 * s3) + 1e-4, 2e-8);
  EXPECT_NEAR(p.l_qq, 2 * (1 + x * x) / (50 * 50 * s3) + 1e-4, 2e-8);
  EXPECT_NEAR(p.l_dq, -2 * x * y / (80 * 50 * s3), 2e-8);
  EXPECT_NEAR(p.l_qd, p.l_dq, 2e-8);
}

TEST(FluxMap, CurrentsOfLinkagesGoBack) {
  const FluxMap map = sampled(9, {0, 2, 6});
  const FluxMapSurface surface(map);
  for (const auto& [d, q, f] :
       {std::array{-47.0, 38.0, 1.0}, std::array{20.0, -90.0, 5.0}, std::array{0.0, 0.0, 0.0}}) {
    const FluxMapPoint p = surface.at(d, q, f);
    const std::optional<FluxMapCurrents> i = currents_of_linkages(map, p.lambda_d, p.lambda_q, f);
    ASSERT_TRUE(i.has_value());
    EXPECT_NEAR(i->i_d, d, 1e-8);
    EXPECT_NEAR(i->i_q, q, 1e-8);
  }
}

TEST(FluxMap, TakesTheFieldCurrentLikeTheOthers) {
  const FluxMapSurface surface(sampled(33, {0, 1, 2, 3, 4, 5, 6}));
  EXPECT_NEAR(surface.at(-31, 17, 2.4).lambda_d, machine(-31, 17, 2.4).lambda_d, 2e-5);  // of 2e-2 Wb: cubic, step 1 A
  const FluxMap two = sampled(5, {0, 4});
  const double low = look_up(two, -31, 17, 0).lambda_d, high = look_up(two, -31, 17, 4).lambda_d;
  EXPECT_NEAR(look_up(two, -31, 17, 1).lambda_d, 0.75 * low + 0.25 * high, 1e-15);  // formula: two points, a line
}

TEST(FluxMap, TellsWhatItCovers) {
  const FluxMapSurface surface(sampled(5));
  EXPECT_TRUE(surface.covers(-120, 100));
  EXPECT_FALSE(surface.covers(31, 0));
  FluxMap broken = sampled(5);
  broken.torque.pop_back();
  EXPECT_THROW(FluxMapSurface{broken}, std::logic_error);
}

}  // namespace
}  // namespace polepitch
