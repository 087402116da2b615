#include "post/mmf.h"

#include <gtest/gtest.h>

#include <cmath>

#include "field_machine_helper.h"
#include "post/dq.h"
#include "post/gap_factors.h"
#include "post/torque.h"

namespace polepitch {
namespace {

// ε is positive when the stator's MMF leads the rotor's: it then pulls the rotor counter-clockwise.
TEST(Mmf, TorqueAngle) {
  const MmfVectors mmf{std::polar(500.0, 2.5), std::polar(800.0, 1.0)};
  EXPECT_NEAR(torque_angle(mmf, 2, 0).angle, 1.5, 1e-14);
  EXPECT_FALSE(torque_angle(mmf, 2, 0).from_d_axis);
}

TEST(Mmf, TorqueAngleIsWrapped) {
  const MmfVectors mmf{std::polar(500.0, -3.0), std::polar(800.0, 3.0)};
  EXPECT_NEAR(torque_angle(mmf, 2, 0).angle, 2 * pi - 6, 1e-12);
}

TEST(Mmf, RotorWithoutSourceIsMeasuredFromItsDAxis) {
  const TorqueAngle angle = torque_angle({std::polar(500.0, 1.0), 1e-14}, 4, 0.2);
  EXPECT_TRUE(angle.from_d_axis);
  EXPECT_NEAR(angle.angle, 0.2, 1e-14);
}

// Formula: torque of two sheets on the faces of a gap. The rotor's sheet of MMF F_r in a thin gap makes B = μ0 F_r/g at
// the bore; the sheet K = p F_s/r there, an angle ε ahead, feels T = π r² L K B sin ε.
TEST(Mmf, UniformGapTorqueIsThatOfTwoSheets) {
  const double r = 0.05, g = 0.5e-3, length = 0.1, fs = 700, fr = 900, epsilon = 0.6;
  const int p = 3;
  const double expected = pi * r * r * length * (p * fs / r) * (mu0 * fr / g) * std::sin(epsilon);
  EXPECT_NEAR(uniform_gap_torque({fs, fr}, epsilon, p, r, length, g), expected, 1e-12 * expected);
}

// Formula: sheet in a permeable annulus: B at the bore = μ0 K coth(p ln(r_a/r_i)), K = p F/r: the
// gap it stands for is g = r/p · tanh(p ln(r_a/r_i)).
TEST(Mmf, EquivalentGapOfThePermeableAnnulus) {
  const int p = 2;
  const double inner = 39.5e-3, outer = 40e-3, length = 0.1, mmf = 200;
  const double b = mu0 * (p * mmf / outer) * annulus_factor(inner, outer, p);
  const double flux = 2 * outer * length * b / p;
  EXPECT_NEAR(equivalent_gap(mmf, flux, p, outer, length), outer / p * std::tanh(p * std::log(outer / inner)), 1e-15);
}

double spread(double half_width_deg) {  // mean of cos over a current spread evenly to both sides, electrical degrees
  const double x = half_width_deg * pi / 180;
  return std::sin(x) / x;
}

// Formula: F_1 = (m/2)(4/π)(k_w N/2p) î, k_w = 1 and N = 40 here, over slots that are 2 · 8° electrical wide; the axis
// of i_d lies on the rotor's d-axis.
TEST(Mmf, StatorMmfIsTheWindingsFundamental) {
  auto machine = testing::small_machine();
  const MmfMoments moments = mmf_moments(*machine->field);
  const double angle = 0.2;
  const MmfVectors mmf = mmf_vectors(machine->section, moments, dq_excitation(machine->section, {7, 0, 0}, 0, angle));
  const double expected = 1.5 * 4 / pi * 40 / 4 * 7 * spread(8);
  EXPECT_NEAR(std::abs(mmf.stator), expected, 1e-11 * expected);
  EXPECT_NEAR(std::arg(mmf.stator), 2 * angle, 1e-11);
  EXPECT_EQ(std::abs(mmf.rotor), 0);
  const MmfVectors q = mmf_vectors(machine->section, moments, dq_excitation(machine->section, {0, 7, 0}, 0, angle));
  EXPECT_NEAR(std::arg(q.stator), 2 * angle + pi / 2, 1e-11);
}

// Formula: a coil of N turns a pole at ±70° electrical: (4/π) N i sin 70°, sides 2 · 10° electrical wide.
TEST(Mmf, FieldWindingMmf) {
  auto machine = testing::small_machine();
  const MmfVectors mmf =
      mmf_vectors(machine->section, mmf_moments(*machine->field), dq_excitation(machine->section, {}, 3, 0.2));
  const double expected = 4 / pi * testing::small_machine_field_turns * 3 * std::sin(70 * pi / 180) * spread(10);
  EXPECT_NEAR(std::abs(mmf.rotor), expected, 1e-11 * expected);
  EXPECT_NEAR(std::arg(mmf.rotor), 0.4, 1e-11);
}

// Formula: (1/π) ∫ (M_r/r) e^{jpθ} dA of four arcs of ±30°, 5 mm high, magnetised parallel to their axis:
// (4/π) M h ∫ cos θ cos 2θ dθ = (4/π) M h (1/3 + 1/2), M = B_rem/(μ0 µr).
TEST(Mmf, MagnetMmf) {
  auto machine = testing::small_machine({.magnets = true});
  const MmfVectors mmf =
      mmf_vectors(machine->section, mmf_moments(*machine->field), dq_excitation(machine->section, {}, 0, 0.2));
  const double m = testing::small_machine_remanence / (mu0 * 1.05);
  const double expected = 4 / pi * m * 5e-3 * (1.0 / 3 + 1.0 / 2);
  EXPECT_NEAR(std::abs(mmf.rotor), expected, 1e-11 * expected);
  EXPECT_NEAR(std::arg(mmf.rotor), 0.4, 1e-11);
}

// Identity: the frozen field is linear in its sources.
TEST(Mmf, GapFluxVectorsSumToTheField) {
  for (bool magnets : {false, true}) {
    auto machine = testing::small_machine({.magnets = magnets});
    const Excitation e = dq_excitation(machine->section, {-20, 60, 0}, 4, 0.05);
    const GapFluxVectors flux = gap_flux_vectors(*machine->field, machine->field->solve(e), e);
    EXPECT_LT(std::abs(flux.stator + flux.rotor - flux.total), 1e-10 * std::abs(flux.total));
    EXPECT_GT(std::abs(flux.stator), 0.01 * std::abs(flux.total));
    EXPECT_GT(std::abs(flux.rotor), 0.01 * std::abs(flux.total));
    // Each side's flux points along its own MMF: exactly only in a uniform gap.
    const MmfVectors mmf = mmf_vectors(machine->section, mmf_moments(*machine->field), e);
    EXPECT_LT(std::abs(std::arg(flux.rotor / mmf.rotor)), 0.3);
    EXPECT_LT(std::abs(std::arg(flux.stator / mmf.stator)), 0.6);
  }
}

// Formula: arcs of magnet on a round core of permeable iron are nearly a uniform gap: the mean torque over the
// positions of a period is p π μ0 r L F_s F_r sin ε/g to the few per cent by which open slots and the thick gap differ
// from one.
TEST(Mmf, UniformGapTorqueHoldsForSurfaceMagnets) {
  auto machine = testing::small_machine({.magnets = true, .nonlinear = false});
  const Section& section = machine->section;
  const MmfMoments moments = mmf_moments(*machine->field);
  double torque = 0, uniform = 0;
  const int positions = 10;
  for (int i = 0; i < positions; ++i) {
    const Excitation e = dq_excitation(section, {30, 60, 0}, 0, pi / 6 * i / positions);
    const StaticSolution solution = machine->field->solve(e);
    const MmfVectors mmf = mmf_vectors(section, moments, e);
    const double r = solution.gap.mean_radius();
    const double flux = std::abs(gap_flux_vectors(*machine->field, solution, e).rotor);
    const double gap = equivalent_gap(std::abs(mmf.rotor), flux, 2, r, section.length);
    const double epsilon = torque_angle(mmf, 2, e.rotor_angle).angle;
    EXPECT_NEAR(epsilon, std::atan2(60, 30), 1e-11);
    torque += machine->field->torque(solution) / positions;
    uniform += uniform_gap_torque(mmf, epsilon, 2, r, section.length, gap) / positions;
  }
  EXPECT_GT(torque, 0);
  EXPECT_NEAR(uniform / torque, 1, 0.03);
}

}  // namespace
}  // namespace polepitch
