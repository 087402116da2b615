#include "solver/bh_curve.h"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

using polepitch::BhCurve;
using polepitch::check_bh_table;
using polepitch::mu0;

namespace {

// M400-50A, published: Modelica Standard Library, Modelica.Magnetic.FluxTubes.Material.SoftMagnetic (BSD-3-Clause),
// field strength in A/m and polarisation in T.
const std::vector<double> steel_h = {
    0.0,     10.01,   20.02,   30.0,    40.04,   50.02,    60.0,     70.04,    79.95,    90.15,    100.02,
    125.04,  150.75,  174.99,  200.15,  249.42,  349.8,    500.2,    749.73,   1000.16,  1250.83,  1501.27,
    1999.42, 2498.48, 4994.23, 7499.53, 9982.33, 15038.84, 19660.14, 24012.14, 28095.98, 31507.13, 32584.33};
const std::vector<double> steel_j = {0.0,     0.01174, 0.02872, 0.05212, 0.08379, 0.13713, 0.25006, 0.3969,  0.53434,
                                     0.68837, 0.81912, 1.03212, 1.15089, 1.21926, 1.26636, 1.32261, 1.38007, 1.42283,
                                     1.46237, 1.48822, 1.50816, 1.52464, 1.55179, 1.57443, 1.65894, 1.72245, 1.77386,
                                     1.85521, 1.90918, 1.94542, 1.96853, 1.98122, 1.98429};

std::vector<double> steel_b() {
  std::vector<double> b;
  for (size_t i = 0; i < steel_h.size(); ++i) b.push_back(steel_j[i] + mu0 * steel_h[i]);
  return b;
}

BhCurve steel(double stacking = 1) {
  return BhCurve(steel_b(), steel_h, stacking);
}

// Joints of the curve: the rows, then the end of the knee (solver/bh_curve.h: span 3 H/d past the last row).
std::vector<double> joints(const BhCurve& curve) {
  std::vector<double> b = steel_b();
  const auto last = curve.at(curve.table_end());
  b.push_back(curve.table_end() + 3 * last.h / last.dh_db);
  return b;
}

// Gauss–Legendre, three points on each of many equal steps.
double quadrature(const BhCurve& curve, double b, int steps) {
  const double x = std::sqrt(0.6), step = b / steps;
  double sum = 0;
  for (int i = 0; i < steps; ++i) {
    const double middle = (i + 0.5) * step;
    sum += step / 18 * (5 * curve.h(middle - x * step / 2) + 8 * curve.h(middle) + 5 * curve.h(middle + x * step / 2));
  }
  return sum;
}

}  // namespace

TEST(BhCurve, goes_through_the_rows_of_the_table) {
  const BhCurve curve = steel();
  const std::vector<double> b = steel_b();
  for (size_t i = 0; i < b.size(); ++i) EXPECT_NEAR(curve.h(b[i]), steel_h[i], 1e-12 * (1 + steel_h[i]));
  EXPECT_DOUBLE_EQ(curve.table_end(), b.back());
  EXPECT_NEAR(curve.h(1.52464 + mu0 * 1501.27), 1501.27, 1e-9);  // published row: J 1.52464 T at 1501.27 A/m
}

TEST(BhCurve, rises_everywhere_and_never_faster_than_vacuum) {
  for (double k : {1.0, 0.95}) {
    const BhCurve curve = steel(k);
    double before = 0;
    for (double b = 0.0005; b < 4; b += 0.0005) {
      const auto sample = curve.at(b);
      EXPECT_GT(sample.h, before) << b;
      EXPECT_GT(sample.dh_db, 0) << b;
      EXPECT_LE(sample.dh_db, (1 + 1e-12) / mu0) << b;
      before = sample.h;
    }
  }
}

TEST(BhCurve, value_and_slope_do_not_jump_at_the_joints) {
  const BhCurve curve = steel();
  for (double b : joints(curve)) {
    if (b == 0) continue;
    // One unit in the last place apart: what differs beyond slope × step is a jump.
    const auto left = curve.at(std::nextafter(b, 0.0)), right = curve.at(std::nextafter(b, 10.0));
    EXPECT_NEAR(left.h, right.h, 1e-12 * right.h) << b;
    EXPECT_NEAR(left.dh_db, right.dh_db, 1e-12 * right.dh_db) << b;
  }
}

TEST(BhCurve, slope_agrees_with_differences) {
  const BhCurve curve = steel(0.96);
  for (double b = 0.0137; b < 3.2; b += 0.0173) {
    const double step = 1e-6;
    EXPECT_NEAR((curve.h(b + step) - curve.h(b - step)) / (2 * step), curve.at(b).dh_db, 2e-5 * curve.at(b).dh_db) << b;
  }
}

TEST(BhCurve, energy_is_the_integral_of_h) {
  const BhCurve curve = steel();
  EXPECT_EQ(curve.energy(0), 0);
  for (double b : {0.005, 0.4, 1.1, 1.7, 2.02, 2.3, 3.5}) {
    EXPECT_NEAR(quadrature(curve, b, 40000), curve.energy(b), 1e-8 * curve.energy(b)) << b;
  }
}

TEST(BhCurve, reluctivity_and_its_derivative_hold_down_to_zero) {
  const BhCurve curve = steel();
  double nu0 = 0, slope0 = 0;
  curve.reluctivity(0, nu0, slope0);
  EXPECT_DOUBLE_EQ(nu0, curve.at(0).dh_db);
  EXPECT_TRUE(std::isfinite(slope0));
  for (double b : {1e-12, 1e-6, 1e-3, 0.011, 0.3, 0.9, 1.5, 1.9, 2.2, 3.0}) {
    double nu = 0, derivative = 0, above = 0, below = 0, unused = 0;
    curve.reluctivity(b * b, nu, derivative);
    EXPECT_NEAR(nu, curve.h(b) / b, 1e-12 * nu) << b;
    if (b < 1e-4) {  // differences would only see rounding: the curve is even in B, so the limit at 0 must be met
      EXPECT_NEAR(derivative, slope0, 1e-9 * std::abs(slope0));
      continue;
    }
    const double step = 1e-4 * b * b;
    curve.reluctivity(b * b + step, above, unused);
    curve.reluctivity(b * b - step, below, unused);
    EXPECT_NEAR((above - below) / (2 * step), derivative, 1e-5 * nu / (b * b)) << b;
  }
}

// A code check: four places at once are what one is.
TEST(BhCurve, packs_of_four_are_the_same) {
  const BhCurve curve = steel(0.97);
  std::vector<double> b{0, 1e-20, 1e-9, 1e-3, 3.5, 40};
  for (double joint : joints(curve))
    for (double scale : {0.999, 1.0, 1.001}) b.push_back(scale * joint);
  for (size_t i = 0; i < b.size(); ++i) {
    const double squared = b[i] * b[i];
    polepitch::Lanes four = {squared, 0, squared, 4}, nu, slope;
    curve.reluctivity(&four, &nu, &slope, 1);
    double one_nu, one_slope;
    curve.reluctivity(squared, one_nu, one_slope);
    EXPECT_NEAR(nu[0] / one_nu, 1, 1e-13) << b[i];
    // dν/d(B²) is a difference of two nearly equal numbers of ν's size over 2 B².
    EXPECT_NEAR(slope[0], one_slope, 1e-13 * std::abs(one_slope) + 1e-14 * one_nu / std::max(squared, 1e-6)) << b[i];
    EXPECT_EQ(nu[2], nu[0]) << b[i];
  }
}

TEST(BhCurve, ends_straight_with_the_permeability_of_vacuum) {
  const BhCurve curve = steel();
  const double straight = joints(curve).back();
  double before = curve.at(curve.table_end()).dh_db;
  for (double b = curve.table_end(); b < straight; b += 0.001) {
    EXPECT_GE(curve.at(b).dh_db, before * (1 - 1e-14)) << b;
    before = curve.at(b).dh_db;
  }
  EXPECT_DOUBLE_EQ(curve.at(straight + 0.1).dh_db, 1 / mu0);
  EXPECT_DOUBLE_EQ(curve.at(50).dh_db, 1 / mu0);
  // Polarisation at the far end, formula: the law of approach J = Js − a/H through the last row and its slope.
  const auto last = curve.at(curve.table_end());
  const double js = steel_j.back() + last.h * (1 / last.dh_db - mu0);
  EXPECT_NEAR(50 - mu0 * curve.h(50), js, 1e-9);
  EXPECT_GT(js, 2.0);  // memory: silicon steels of 1 to 3 per cent saturate between 2.0 and 2.15 T
  EXPECT_LT(js, 2.15);
}

TEST(BhCurve, stacking_factor_thins_the_flux_at_the_same_field) {
  const double k = 0.95;
  const BhCurve curve = steel(k);
  const std::vector<double> b = steel_b();
  for (size_t i = 1; i < b.size(); ++i) {
    EXPECT_NEAR(curve.h(k * b[i] + (1 - k) * mu0 * steel_h[i]), steel_h[i], 1e-11 * steel_h[i]);
  }
  EXPECT_DOUBLE_EQ(curve.at(20).dh_db, 1 / mu0);
}

// formula: (2/π) ∫ H(B cos t) cos t dt over half a period; 512.26 A/m from an independent monotone interpolation of the
// same table.
TEST(BhCurve, fundamental_of_h_in_a_pulsating_field) {
  const BhCurve curve = steel();
  const int steps = 20000;
  double sum = 0;
  for (int i = 0; i < steps; ++i) {
    const double c = std::cos((i + 0.5) * polepitch::pi / 2 / steps);
    sum += curve.h(1.5 * c) * c;
  }
  EXPECT_NEAR(sum * 2 / steps, 512.26, 0.05);
}

TEST(BhCurve, linear_medium) {
  const BhCurve curve(1000);
  EXPECT_TRUE(curve.linear());
  EXPECT_DOUBLE_EQ(curve.h(1.2), 1.2 / (1000 * mu0));
  EXPECT_DOUBLE_EQ(curve.energy(1.2), 0.5 * 1.2 * 1.2 / (1000 * mu0));
  double nu = 0, derivative = 1;
  curve.reluctivity(0.7, nu, derivative);
  EXPECT_DOUBLE_EQ(nu, 1 / (1000 * mu0));
  EXPECT_EQ(derivative, 0);
}

TEST(BhCurve, two_rows_and_steep_tables_stay_monotone) {
  const std::vector<double> b2 = {0, 1.5}, h2 = {0, 300};
  const BhCurve two(b2, h2);
  EXPECT_NEAR(two.h(0.75), 150, 1e-9);
  const std::vector<double> b = {0, 1.0, 1.001, 1.5, 1.5001, 1.6}, h = {0, 1, 500, 510, 560, 60000};
  ASSERT_EQ(check_bh_table(b, h).message, "");
  const BhCurve steep(b, h);
  EXPECT_GT(steep.at(0).dh_db, 0);
  for (double x = 0.0001; x < 2; x += 0.0001) EXPECT_GT(steep.at(x).dh_db, 0) << x;
}

TEST(BhTable, faults_name_the_row) {
  using V = std::vector<double>;
  EXPECT_EQ(check_bh_table(steel_b(), steel_h).message, "");
  const auto row = [](const V& b, const V& h) { return check_bh_table(b, h).row; };
  EXPECT_EQ(row(V{0.1, 1, 1.2}, V{0, 100, 200}), 0);
  EXPECT_EQ(row(V{0, 1, 1.0, 1.2}, V{0, 100, 200, 300}), 2);
  EXPECT_EQ(row(V{0, 1, 1.1, 1.2}, V{0, 100, 100, 300}), 2);
  EXPECT_EQ(row(V{0, 1, 1.1, 1.101}, V{0, 100, 200, 2000}), 3);  // dB/dH = 0.44 of vacuum's
  EXPECT_EQ(row(V{0, 1, NAN}, V{0, 100, 200}), 2);
  EXPECT_NE(check_bh_table(V{0, 1, 1.1, 1.101}, V{0, 100, 200, 2000}).message.find("vacuum"), std::string::npos);
  EXPECT_NE(check_bh_table(V{0}, V{0}).message, "");
  EXPECT_NE(check_bh_table(V{0, 1}, V{0}).message, "");
}
