// Expected: the three terms of loci in closed form (G. Bertotti, IEEE Trans. Magn. 24(1), 1988; memory), loops counted
// by hand, and the sums over a machine's cores of fields whose locus is known.
#include "post/iron_loss.h"

#include <gtest/gtest.h>

#include <cmath>

#include "geometry/error.h"
#include "solver/bh_curve.h"
#include "tests/post/field_machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr IronLossCoefficients k{.hysteresis = 0.02, .exponent = 1.8, .classical = 9e-5, .excess = 6e-4};
constexpr double f = 200;

struct Locus {
  std::vector<double> x, y;
};

/// a cos τ along the direction `angle`, b sin τ across it.
Locus ellipse(double a, double b, double angle, int count) {
  Locus l;
  for (int i = 0; i < count; ++i) {
    const double t = 2 * pi * i / count, u = a * std::cos(t), v = b * std::sin(t);
    l.x.push_back(u * std::cos(angle) - v * std::sin(angle));
    l.y.push_back(u * std::sin(angle) + v * std::cos(angle));
  }
  return l;
}

TEST(IronLoss, AlternatingFieldGivesTheThreeTerms) {
  const double b = 1.3;
  const Locus l = ellipse(b, 0, 0.7, 96);
  const IronLossParts loss = specific_iron_loss(l.x, l.y, f, k);
  const std::string source = "k_h f B^alpha + k_c (f B)^2 + k_e (f B)^1.5";
  test::record_check("hysteresis loss, alternating", loss.hysteresis, 0.02 * f * std::pow(b, 1.8), 1e-10, "W/kg",
                     source, test::kClosedForm);
  test::record_check("classical loss, alternating", loss.classical, 9e-5 * f * f * b * b, 1e-9, "W/kg", source,
                     test::kClosedForm);
  // 1e-4 of 2.5 W/kg: |cos|^1.5 by 96 samples, whose error falls with the power 2.5 of their number.
  test::record_check("excess loss, alternating", loss.excess, 6e-4 * std::pow(f * b, 1.5), 2.5e-4, "W/kg", source,
                     test::kClosedForm);
}

TEST(IronLoss, RotatingFieldCountsBothComponents) {
  const double b = 1.1;
  const Locus l = ellipse(b, b, 0.3, 48);
  const IronLossParts loss = specific_iron_loss(l.x, l.y, f, k);
  const std::string source = "both components of a circular locus";
  test::record_check("hysteresis loss, rotating", loss.hysteresis, 2 * 0.02 * f * std::pow(b, 1.8), 3.7e-2, "W/kg",
                     source,
                     test::kClosedForm);  // 48 samples miss a peak by alpha (3.75 deg)^2/2 at most, 3.9e-3
  test::record_check("classical loss, rotating", loss.classical, 2 * 9e-5 * f * f * b * b, 1e-9, "W/kg", source,
                     test::kClosedForm);
  // |dB/dt| stands at 2πfB, against the mean of |cos|^1.5, 0.556418, of the alternating one.
  const double mean = std::tgamma(1.25) / (std::sqrt(pi) * std::tgamma(1.75));
  test::record_check("excess loss, rotating", loss.excess, 6e-4 * std::pow(f * b, 1.5) / mean, 1e-9, "W/kg", source,
                     test::kClosedForm);
  // 8.76 √(σGSV0) (B f)^1.5: the number as printed by Bertotti (memory).
  EXPECT_NEAR(std::pow(2 * pi, 1.5) * mean, 8.76, 0.005);
}

TEST(IronLoss, EllipseAndHarmonics) {
  const Locus l = ellipse(1.2, 0.4, 1.1, 48);
  const IronLossParts loss = specific_iron_loss(l.x, l.y, f, k);
  EXPECT_NEAR(loss.classical, 9e-5 * f * f * (1.2 * 1.2 + 0.4 * 0.4), 1e-9);
  EXPECT_NEAR(loss.hysteresis, 0.02 * f * (std::pow(1.2, 1.8) + std::pow(0.4, 1.8)), 1e-9);
  std::vector<double> x, zero(48, 0.0);
  for (int i = 0; i < 48; ++i) x.push_back(1.2 * std::cos(2 * pi * i / 48) + 0.2 * std::sin(2 * pi * 5 * i / 48) + 0.5);
  // Formula (Parseval): Σ (n B_n)²; what does not change adds nothing.
  EXPECT_NEAR(specific_iron_loss(x, zero, f, k).classical, 9e-5 * f * f * (1.44 + 25 * 0.04), 1e-9);
}

TEST(IronLoss, LoopsCloseWhateverTheirBias) {
  EXPECT_EQ(closed_loops(std::vector<double>{3, 1, 2, -3, -1, -2}), (std::vector<double>{3, 0.5, 0.5}));  // by hand
  EXPECT_EQ(closed_loops(std::vector<double>{-1, -2, 3, 1, 2, -3}), (std::vector<double>{3, 0.5, 0.5}));
  EXPECT_EQ(closed_loops(std::vector<double>{5, 4}), (std::vector<double>{0.5}));
  EXPECT_TRUE(closed_loops(std::vector<double>{1, 1, 1}).empty());
  EXPECT_EQ(closed_loops(std::vector<double>{0, 1, 1, 2, 1, 0}), (std::vector<double>{1}));
}

TEST(IronLoss, TermsGoWithTheirPowersOfSpeed) {
  const IronLossParts loss = IronLossParts{1, 2, 3}.at_speed(4);
  EXPECT_DOUBLE_EQ(loss.hysteresis, 4);
  EXPECT_DOUBLE_EQ(loss.classical, 32);
  EXPECT_DOUBLE_EQ(loss.excess, 24);
  EXPECT_DOUBLE_EQ(loss.total(), 60);
}

/// ∫ |B|² dS over a side's cores, by another rule than the record's.
double square_integral(const testing::SmallMachine& machine, const StaticSolution& field, Side side) {
  double integral = 0;
  const Mesh& mesh = machine.mesh;
  for (size_t t = 0; t < mesh.triangles.size(); ++t) {
    const Region& region = machine.section.regions[static_cast<size_t>(mesh.region[t])];
    if (region.role != Role::core || region.side != side) continue;
    const auto& n = mesh.triangles[t];
    const Point &p = mesh.nodes[n[0]], &q = mesh.nodes[n[1]], &r = mesh.nodes[n[2]];
    const double area = 0.5 * ((q.x - p.x) * (r.y - p.y) - (r.x - p.x) * (q.y - p.y));
    for (const auto& [l1, l2] : {std::pair{0.5, 0.5}, {0.5, 0.0}, {0.0, 0.5}}) {
      const StaticField::Vector b = machine.field->flux_density(field, static_cast<int>(t), l1, l2);
      integral += area / 3 * (b.x * b.x + b.y * b.y);
    }
  }
  return integral;
}

/// One field of linear iron, times cos: of half a period in the stator, of a whole one between two poles in the rotor.
TEST(IronLoss, RecordSumsOverTheCores) {
  const auto machine = testing::small_machine({.salient = false, .nonlinear = false});
  const Section& section = machine->section;
  Materials materials = machine->materials;
  ASSERT_EQ(core_without_loss(section, materials), "iron");
  EXPECT_THROW(IronLossRecord(*machine->field, materials, 12), InputError);
  materials.at("iron").iron_loss = IronLossCoefficients{.hysteresis = 0.02, .exponent = 2, .classical = 9e-5};
  materials.at("iron").density = 7700;
  Excitation e;
  e.currents = {10, -5, -5};
  const StaticSolution field = machine->field->solve(e);
  for (Side side : {Side::stator, Side::rotor}) {
    IronLossRecord record(*machine->field, materials, 12);
    ASSERT_EQ(record.positions(), 12);
    for (int i = 0; i < 12; ++i) {
      StaticSolution s = field;
      for (double& a : s.a) a *= std::cos((side == Side::stator ? 1 : 2) * pi * i / 12.0);
      record.add(i, *machine->field, s);
    }
    const IronLoss loss = record.loss(50);
    const IronLossParts& parts = side == Side::stator ? loss.stator : loss.rotor;
    const double own = side == Side::stator ? 50 : 100;
    const double integral = 7700 * section.length * section.sectors * square_integral(*machine, field, side);
    // Formula: ∫ k |B|² dm of an alternating field; 1 % for the curved triangles, of which the test counts the chords.
    EXPECT_NEAR(parts.hysteresis / (0.02 * own * integral / section.stacking_factor), 1, 0.01);
    EXPECT_NEAR(parts.classical / (9e-5 * own * own * integral / section.stacking_factor), 1, 0.01);
    EXPECT_EQ(parts.excess, 0);
  }
}

/// A = B_x y − B_y x is the same ellipse of B at every place: its specific loss times the cores' masses, the rotor's at
/// its own frequency (formula). Classical 1e-9; excess by 32 instants of a smooth ellipse, 1e-6.
TEST(IronLoss, HarmonicFieldOfOneEllipse) {
  const auto machine = testing::small_machine({.nonlinear = false});
  testing::SmallMachine& m = *machine;
  for (auto& [name, material] : m.materials) material.iron_loss = k, material.density = 7700, material.mu_r = 1e9;
  const std::complex<double> bx{0.9, 0.2}, by{-0.3, 0.5};
  std::vector<std::complex<double>> a;
  for (const Point& node : m.mesh.nodes) a.push_back(bx * node.y - by * node.x);
  const IronLoss loss = harmonic_iron_loss(m.section, m.mesh, m.materials, a, 50, 5);
  double mass[2] = {0, 0};
  for (const IronPlace& place : iron_places(m.section, m.mesh, m.materials))
    mass[static_cast<int>(place.side)] += place.mass;
  Locus l;
  for (int i = 0; i < 2000; ++i) {
    const std::complex<double> turn = std::polar(1.0, 2 * pi * i / 2000);
    l.x.push_back(std::real(bx * turn));
    l.y.push_back(std::real(by * turn));
  }
  const double square = std::norm(bx) + std::norm(by), fill = m.section.stacking_factor;
  EXPECT_NEAR(loss.stator.classical, mass[0] * 9e-5 * 2500 * square / (fill * fill), 1e-9 * loss.stator.classical);
  EXPECT_NEAR(loss.rotor.classical, mass[1] * 9e-5 * 25 * square / (fill * fill), 1e-9 * loss.rotor.classical);
  const double excess = mass[1] * specific_iron_loss(l.x, l.y, 5, k).excess * std::pow(fill, -1.5);
  EXPECT_NEAR(loss.rotor.excess, excess, 1e-6 * excess);
  EXPECT_GT(mass[0], 0);
}

}  // namespace
}  // namespace polepitch
