// Expected: machines whose no-load curve and zero-power-factor curve are formulas. The zero-power-factor curve of a
// machine with a leakage reactance x and an armature reaction a is its no-load curve moved by (a, −x I): Potier's
// construction must give back x and a, whatever the curve.
#include "post/characteristics.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "post/characteristic_constructions.h"

namespace polepitch {
namespace {

/// Straight with 10 V/A to 6 A, then i = u/10 + 3e-6 (u − 60)³.
double field_current(double u) {
  return u / 10 + (u > 60 ? 3e-6 * std::pow(u - 60, 3) : 0);
}

MonotoneCurve curve_moved(double x, double y, double low, double high) {
  std::vector<double> xs, ys;
  for (int k = 0; k <= 800; ++k) {
    const double u = low + (high - low) * k / 800;
    xs.push_back(field_current(u) + x);
    ys.push_back(u + y);
  }
  return {xs, ys};
}

constexpr double kVoltage = 100, kCurrent = 5, kReactance = 3, kReaction = 11;

struct Machine {
  MonotoneCurve no_load = curve_moved(0, 0, 0, 150);
  AirGapLine line = air_gap_line(no_load);
  double i_fk = field_current(kReactance * kCurrent) + kReaction;
  double i_fa = field_current(kVoltage + kReactance * kCurrent) + kReaction;
  PotierTriangle triangle = potier_triangle(no_load, line, i_fk, i_fa, kVoltage, kCurrent).value();
};

TEST(Characteristics, AirGapLineIsTheSteepestThroughTheOrigin) {
  const Machine m;
  EXPECT_NEAR(m.line.slope, 10, 1e-8);
  // With a foot like that of a steel of low initial permeability: i = u/10 + 0.5 (1 − e^{−u/10}) − 1e-3 u …: touched
  // where the secant is steepest, which is found by trying.
  std::vector<double> x, y;
  double steepest = 0;
  for (int k = 0; k <= 400; ++k) {
    const double u = 0.3 * k, i = u / 10 + 0.4 * (1 - std::exp(-u / 5)) + 4e-6 * u * u * u;
    x.push_back(i);
    y.push_back(u);
    if (k > 0) steepest = std::max(steepest, u / i);
  }
  const AirGapLine line = air_gap_line({x, y});
  EXPECT_NEAR(line.slope, steepest, 1e-4);  // the trials are 0.3 V apart
  EXPECT_GT(line.touches, 0.1 * x.back());
  EXPECT_LT(line.touches, 0.9 * x.back());
}

TEST(Characteristics, SaturationFactors) {
  const Machine m;
  EXPECT_NEAR(saturation_factor(m.no_load, m.line, 100), 3e-6 * 64000 / 10, 1e-6);
  EXPECT_NEAR(saturation_factor(m.no_load, m.line, 120), 3e-6 * 216000 / 12, 1e-6);
  EXPECT_NEAR(saturation_factor(m.no_load, m.line, 50), 0, 1e-9);
}

TEST(Characteristics, PotierTriangleGivesBackReactanceAndReaction) {
  const Machine m;
  EXPECT_NEAR(m.triangle.reactance(), kReactance, 1e-4);
  EXPECT_NEAR(m.triangle.armature_reaction(), kReaction, 1e-4);
  // Consistency of the triangle itself: CD/BD is the slope of the air-gap line.
  EXPECT_NEAR((m.triangle.u_c - kVoltage) / (m.triangle.i_fc - m.triangle.i_fb), m.line.slope, 1e-9);
}

TEST(Characteristics, NoTriangleWithoutSaturation) {
  const MonotoneCurve straight({0, 5, 30}, {0, 50, 300});
  EXPECT_FALSE(potier_triangle(straight, air_gap_line(straight), 12.5, 22.5, 100, 5).has_value());
}

TEST(Characteristics, ReactancesAndRatio) {
  const ShortCircuitRatio r{.i_f0 = 8, .i_fg = 7, .i_fk = 10};
  EXPECT_DOUBLE_EQ(r.unsaturated(), 10.0 / 7);
  EXPECT_DOUBLE_EQ(r.saturated() * r.ratio(), 1);  // by definition
  EXPECT_DOUBLE_EQ(r.ratio(), 0.8);
}

TEST(Characteristics, PotierDiagramAtZeroPowerFactorIsTheZeroPowerFactorPoint) {
  const Machine m;
  const PotierDiagram d = potier_diagram(m.no_load, m.triangle, {kVoltage, kCurrent, 0, 0});
  EXPECT_NEAR(d.e_p, kVoltage + kReactance * kCurrent, 1e-3);
  EXPECT_NEAR(d.i_f, m.i_fa, 1e-3);
  // No current: the no-load field current.
  EXPECT_NEAR(potier_diagram(m.no_load, m.triangle, {kVoltage, 0, 0.8, 0}).i_f, field_current(kVoltage), 1e-5);
}

TEST(Characteristics, WithoutSaturationBothMethodsGiveTheRoundRotorMachine) {
  // Formula: unsaturated round rotor, i_f = |U + jX_d I|/slope with X_d I = slope · i_fk. E_p stays under 60 V.
  const Machine m;
  const double u = 40, phi = std::acos(0.8), i_fk = m.i_fk;
  const double expected = std::hypot(u / 10 + i_fk * std::sin(phi), i_fk * std::cos(phi));
  EXPECT_NEAR(potier_diagram(m.no_load, m.triangle, {u, kCurrent, 0.8, 0}).i_f, expected, 1e-3);
  const SaturationIncrement s = saturation_increment(m.no_load, m.line, i_fk, m.triangle, {u, kCurrent, 0.8, 0});
  EXPECT_NEAR(s.i_f, expected, 1e-6);
  EXPECT_NEAR(s.increment, 0, 1e-8);
}

TEST(Characteristics, ResistanceTurnsTheVoltage) {
  const Machine m;
  // Formula: unity power factor, E_p = |U + RI + jX_p I|.
  const PotierDiagram d = potier_diagram(m.no_load, m.triangle, {80, kCurrent, 1, 2});
  EXPECT_NEAR(d.e_p, std::hypot(90, m.triangle.reactance() * kCurrent), 1e-9);
  EXPECT_NEAR(std::sin(d.e_p_angle) * d.e_p, m.triangle.reactance() * kCurrent, 1e-9);
}

CharacteristicCurves curves_of(const Machine& m) {
  return {m.no_load,
          MonotoneCurve({0, 2 * m.i_fk}, {0, 2 * kCurrent}),
          curve_moved(kReaction, -kReactance * kCurrent, kReactance * kCurrent, 140),
          m.line,
          kVoltage,
          kCurrent};
}

TEST(Constructions, PotierPointsLieOnTheirCurves) {
  const Machine m;
  const CharacteristicCurves curves = curves_of(m);
  const ShortCircuitRatio ratio{m.no_load.where(kVoltage), m.line.current(kVoltage), m.i_fk};
  const Construction c = potier_construction(curves, ratio, m.triangle);
  const ConstructionPoint a = point_of(c, "A"), b = point_of(c, "B"), p = point_of(c, "C"), d = point_of(c, "D");
  EXPECT_NEAR(curves.zero_power_factor.at(a.x), a.y * kVoltage, 1e-3);
  EXPECT_NEAR(m.no_load.at(p.x), p.y * kVoltage, 1e-9);
  EXPECT_DOUBLE_EQ(d.x, p.x);
  EXPECT_DOUBLE_EQ(d.y, a.y);
  EXPECT_NEAR(a.x - b.x, point_of(c, "K").x - point_of(c, "O").x, 1e-12);
  EXPECT_THROW(point_of(c, "E"), std::logic_error);
}

TEST(Constructions, PhasorsCloseAndStandAsTheyShould) {
  const Machine m;
  const CharacteristicCurves curves = curves_of(m);
  const ShortCircuitRatio ratio{m.no_load.where(kVoltage), m.line.current(kVoltage), m.i_fk};
  const GeneratorLoad load{kVoltage, kCurrent, 0.8, 1};
  const PotierDiagram d = potier_diagram(m.no_load, m.triangle, load);
  const Construction c = potier_diagram_construction(curves, ratio, m.triangle, load, d);
  const ConstructionPoint f = point_of(c, "i_f"), e = point_of(c, "E_p"), i = point_of(c, "I"), p = point_of(c, "i_fp");
  EXPECT_NEAR(std::hypot(f.x, f.y) * ratio.i_f0, d.i_f, 1e-9);
  EXPECT_NEAR(std::hypot(e.x, e.y) * kVoltage, d.e_p, 1e-9);
  EXPECT_NEAR(p.x * e.x + p.y * e.y, 0, 1e-12);  // at right angles
  EXPECT_LT(i.y, 0);                             // over-excited generator: current behind the voltage
  EXPECT_GT(d.i_f, ratio.i_f0);                  // which takes more field than no load
  const SaturationIncrement s = saturation_increment(m.no_load, m.line, m.i_fk, m.triangle, load);
  const Construction increment = increment_construction(ratio, s);
  const ConstructionPoint end = point_of(increment, "F"), sum = point_of(increment, "S");
  EXPECT_NEAR(std::hypot(end.x, end.y) * ratio.i_f0, s.i_f, 1e-9);
  EXPECT_NEAR(std::hypot(sum.x, sum.y) * ratio.i_f0, s.sum, 1e-9);
}

}  // namespace
}  // namespace polepitch
