#include "post/mmf.h"

#include <gtest/gtest.h>

#include <cmath>

#include "post/gap_factors.h"

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

// Formula: sheet in a permeable annulus, values.md section 2, B at the bore = μ0 K coth(p ln(r_a/r_i)), K = p F/r: the
// gap it stands for is g = r/p · tanh(p ln(r_a/r_i)).
TEST(Mmf, EquivalentGapOfThePermeableAnnulus) {
  const int p = 2;
  const double inner = 39.5e-3, outer = 40e-3, length = 0.1, mmf = 200;
  const double b = mu0 * (p * mmf / outer) * annulus_factor(inner, outer, p);
  const double flux = 2 * outer * length * b / p;
  EXPECT_NEAR(equivalent_gap(mmf, flux, p, outer, length), outer / p * std::tanh(p * std::log(outer / inner)), 1e-15);
}

}  // namespace
}  // namespace polepitch
