#include "post/dq.h"

#include <gtest/gtest.h>

#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

Section three_phase_section(int pole_pairs) {
  Section section;
  section.pole_pairs = pole_pairs;
  for (int k = 0; k < 3; ++k) {
    section.branches.push_back(
        {std::string(1, static_cast<char>('A' + k)), BranchKind::phase, 2 * pi * k / 3 / pole_pairs});
  }
  section.branches.push_back({"field", BranchKind::field, 0});
  return section;
}

// Formula: axes 2π/m apart for odd m and π/m for even m.
TEST(Dq, AxesOfOddAndEvenNumbersOfPhases) {
  EXPECT_NEAR(phase_axes(3)[1], 2 * pi / 3, 1e-15);
  EXPECT_NEAR(phase_axes(2)[1], pi / 2, 1e-15);
  EXPECT_NEAR(phase_axes(6)[1], pi / 6, 1e-15);
}

// Formula: amplitude-invariant Park; balanced peak currents of angle γ give i_d = I cos γ, i_q = I sin γ.
TEST(Dq, BalancedCurrentsGiveTheirAmplitude) {
  for (int m : {2, 3, 5, 6, 9}) {
    const std::vector<double> axes = phase_axes(m);
    const double theta = 0.7, gamma = 0.4;
    std::vector<double> phases;
    for (double axis : axes) phases.push_back(10 * std::cos(theta + gamma - axis));
    const Dq dq = to_dq(phases, axes, theta);
    EXPECT_NEAR(dq.d, 10 * std::cos(gamma), 1e-12) << m;
    EXPECT_NEAR(dq.q, 10 * std::sin(gamma), 1e-12) << m;
    EXPECT_NEAR(dq.zero, 0, 1e-12) << m;
  }
}

TEST(Dq, InverseBringsPhasesBack) {
  const std::vector<double> axes = phase_axes(3), phases = {3.0, -1.5, 0.7};
  const std::vector<double> back = to_phases(to_dq(phases, axes, 1.1), axes, 1.1);
  for (int k = 0; k < 3; ++k) EXPECT_NEAR(back[k], phases[k], 1e-14);
}

// Two phases have no zero sequence: their axes do not add to zero, and both components are in d and q.
TEST(Dq, TwoPhasesHaveNoZeroSequence) {
  const std::vector<double> axes = phase_axes(2), phases = {3.0, -1.5};
  const Dq dq = to_dq(phases, axes, 0.3);
  EXPECT_EQ(dq.zero, 0);
  const std::vector<double> back = to_phases(dq, axes, 0.3);
  EXPECT_NEAR(back[0], 3.0, 1e-14);
  EXPECT_NEAR(back[1], -1.5, 1e-14);
}

// Formula: instantaneous power Σ u_k i_k = (m/2)(u_d i_d + u_q i_q) + m u_0 i_0.
TEST(Dq, PowerKeepsItsValue) {
  const std::vector<double> axes = phase_axes(3), u = {1.0, -4.0, 2.0}, i = {0.3, 0.8, -2.0};
  const Dq udq = to_dq(u, axes, 2.0), idq = to_dq(i, axes, 2.0);
  const double power = u[0] * i[0] + u[1] * i[1] + u[2] * i[2];
  EXPECT_NEAR(1.5 * (udq.d * idq.d + udq.q * idq.q) + 3 * udq.zero * idq.zero, power, 1e-14);
}

// With the rotor's d-axis on phase A (θ = 0): +i_d is current in A alone plus return in B and C; q is 90° ahead, where
// B carries + and C − current.
TEST(Dq, SignsOfTheAxes) {
  const Section section = three_phase_section(2);
  const Excitation d = dq_excitation(section, {1, 0, 0}, 0, 0);
  EXPECT_NEAR(d.currents[0], 1, 1e-15);
  EXPECT_NEAR(d.currents[1], -0.5, 1e-15);
  const Excitation q = dq_excitation(section, {0, 1, 0}, 5, 0);
  EXPECT_NEAR(q.currents[0], 0, 1e-15);
  EXPECT_NEAR(q.currents[1], std::sqrt(0.75), 1e-15);
  EXPECT_NEAR(q.currents[2], -std::sqrt(0.75), 1e-15);
  EXPECT_EQ(q.currents[3], 5);
}

TEST(Dq, ExcitationAndProjectionAreInverse) {
  const Section section = three_phase_section(4);
  const Excitation excitation = dq_excitation(section, {-3, 7, 0.5}, 2, 0.123);
  EXPECT_EQ(excitation.rotor_angle, 0.123);
  const Dq dq = phases_to_dq(section, excitation.currents, 0.123);
  EXPECT_NEAR(dq.d, -3, 1e-13);
  EXPECT_NEAR(dq.q, 7, 1e-13);
  EXPECT_NEAR(dq.zero, 0.5, 1e-13);
}

// Formula: (3/2)·4·(0.5·10 − 0.1·(−2)).
TEST(Dq, Torque) {
  EXPECT_NEAR(dq_torque({0.5, 0.1, 0}, {-2, 10, 0}, 3, 4), 31.2, 1e-12);
}

TEST(Dq, BarCurrentsAreASineOverTheBars) {
  Section section;
  section.pole_pairs = 2;
  for (int k = 0; k < 7; ++k) section.branches.push_back({"bar", BranchKind::bar, 2 * pi * k / 28});
  Excitation excitation;
  set_bar_currents(excitation, section, 100, pi / 2);
  EXPECT_NEAR(excitation.currents[0], -100, 1e-12);  // sin(−90°)
  EXPECT_NEAR(excitation.currents[3], 100 * std::sin(2 * 2 * pi * 3 / 28 - pi / 2), 1e-12);
}

}  // namespace
}  // namespace polepitch
