// Constants read from a short-circuit current that is known in closed form.
#include "post/oscillogram.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "post/dq.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;

struct Known {
  double x = 1.5, x1 = 0.3, x2 = 0.2, xq2 = 0.25, t1 = 0.12, t2 = 0.018, ta = 0.06, u = 325, angle = 0.4;
  double omega = 2 * pi * 50;
};

/// formula (IEC 60034-4-1; Fitzgerald, Kingsley, Umans; memory): short circuit from no load, with saliency's second
/// harmonic. The d-axis lies at `angle`, q leads, and E is on q.
Oscillogram oscillogram(const Known& k, double duration) {
  Oscillogram o;
  o.axes = phase_axes(3);
  o.omega = k.omega;
  o.rotor_angle = k.angle;
  o.voltage = k.u;
  o.sustained = k.u / k.x;
  o.phases.resize(3);
  const double mean = 0.5 * k.u * (1 / k.x2 + 1 / k.xq2), salient = 0.5 * k.u * (1 / k.x2 - 1 / k.xq2);
  for (int n = 0; n * 1e-4 <= duration; ++n) {
    const double t = n * 1e-4, turned = k.omega * t + k.angle;
    o.time.push_back(t);
    const double ac =
        k.u * (1 / k.x + (1 / k.x1 - 1 / k.x) * std::exp(-t / k.t1) + (1 / k.x2 - 1 / k.x1) * std::exp(-t / k.t2));
    const double dc = std::exp(-t / k.ta);
    for (size_t p = 0; p < 3; ++p)
      o.phases[p].push_back(ac * std::cos(turned - o.axes[p]) - mean * dc * std::cos(k.angle - o.axes[p]) -
                            salient * dc * std::cos(2 * turned - k.angle - o.axes[p]));
  }
  return o;
}

/// The record is its own model, so what is left is the interpolation between rows: (ωh)²/8 = 1e-4 of a current, and
/// some of that to tell parts apart. 1 % is asked for.
TEST(Oscillogram, ConstantsOfAKnownCurrent) {
  const Known k;
  const OscillogramConstants c = read_oscillogram(oscillogram(k, 0.4));
  const auto check = [](const std::string& name, double found, double known) {
    test::record_check("sudden short circuit in closed form, as read: " + name, found / known, 1, 0.01, "1",
                       "short-circuit current with its exponentials (formula)", test::kClosedForm);
  };
  check("X'_d", c.x_d_transient, k.x1);
  check("X''_d", c.x_d_subtransient, k.x2);
  check("T'_d", c.t_d_transient, k.t1);
  check("T''_d", c.t_d_subtransient, k.t2);
  check("T_a", c.t_a, k.ta);
  EXPECT_EQ(c.alternating.lines.size(), 4u);
  EXPECT_NEAR(point_of(c.alternating, "i'0").y, std::log10(c.transient), 1e-12);
  EXPECT_NEAR(point_of(c.direct_component, "i_d0").y, std::log10(c.direct), 1e-12);
}

/// Park's equations of a machine with a damper on each axis and a resistance that is not small, its current from no
/// load by the classical Runge–Kutta method. Admittances 1/L(s) are sums of exponentials (formula: Fitzgerald,
/// Kingsley, Umans; memory), so the constants are given; nothing of the reading's model is in it.
Oscillogram shorted_with_resistance(const Known& k, double xq, double tq2, double resistance) {
  const double gd[2] = {1 / k.x1 - 1 / k.x, 1 / k.x2 - 1 / k.x1}, gq = 1 / k.xq2 - 1 / xq;
  using State = std::array<double, 5>;  // ψ_d, ψ_q [V], and what the rotor's circuits follow: two of d, one of q
  const auto i_d = [&](const State& s) { return s[0] / k.x2 - gd[0] * s[2] - gd[1] * s[3] - k.u / k.x; };
  const auto i_q = [&](const State& s) { return s[1] / k.xq2 - gq * s[4]; };
  // The field voltage's part of i_d is U/X_d against ψ_d; before the short circuit both are equal.
  const auto rate = [&](const State& s) -> State {
    return {k.omega * (s[1] - resistance * i_d(s)), k.omega * (-s[0] - resistance * i_q(s)), (s[0] - s[2]) / k.t1,
            (s[0] - s[3]) / k.t2, (s[1] - s[4]) / tq2};
  };
  Oscillogram o;
  o.axes = phase_axes(3);
  o.omega = k.omega;
  o.rotor_angle = k.angle;
  o.voltage = k.u;
  o.sustained = k.u * std::hypot(resistance, xq) / (resistance * resistance + k.x * xq);
  o.phases.resize(3);
  State s = {k.u, 0, k.u, k.u, 0};
  const double h = 1e-4;
  const auto moved = [](State a, const State& d, double by) {
    for (size_t n = 0; n < a.size(); ++n) a[n] += by * d[n];
    return a;
  };
  for (int n = 0; n <= 4000; ++n) {
    const double turned = k.omega * n * h + k.angle;
    o.time.push_back(n * h);
    for (size_t p = 0; p < 3; ++p)  // out of the terminals
      o.phases[p].push_back(-i_d(s) * std::cos(turned - o.axes[p]) + i_q(s) * std::sin(turned - o.axes[p]));
    const State a = rate(s), b = rate(moved(s, a, h / 2)), c = rate(moved(s, b, h / 2)), d = rate(moved(s, c, h));
    for (size_t m = 0; m < s.size(); ++m) s[m] += h / 6 * (a[m] + 2 * b[m] + 2 * c[m] + d[m]);
  }
  return o;
}

/// The standard's formula takes the armature's resistance for small, which leaves out terms of the order of R/X''_d
/// (half of it is allowed), and ωT''_d for large, which leaves out 1/(ωT''_d)² = 4 % of the subtransient part (2 % of
/// X''_d are allowed).
TEST(Oscillogram, ResistanceOfTheArmature) {
  const Known k{4.41, 0.706, 0.403, 0.393, 0.0728, 0.0157, 0, 325, 0.4};
  for (double resistance : {0.001, 0.035, 0.07}) {
    const OscillogramConstants c = read_oscillogram(shorted_with_resistance(k, 2.43, 0.0101, resistance));
    const double allowed = std::max(0.02, 0.5 * resistance / k.x2);
    const auto check = [&](const std::string& name, double found, double known) {
      test::record_check(
          fmt::format("short circuit by Park's equations, R = {:.2g} of X''_d, as read: {}", resistance / k.x2, name),
          found / known, 1, allowed, "1", "constants that the equations were given", test::kClosedForm);
    };
    check("X'_d", c.x_d_transient, k.x1);
    check("X''_d", c.x_d_subtransient, k.x2);
    check("T'_d", c.t_d_transient, k.t1);
    check("T''_d", c.t_d_subtransient, k.t2);
    // formula: X_2/(ω R), 1/X_2 the mean of 1/L(jω) of both axes, since the direct component passes the rotor with ω.
    const auto part = [&](double difference, double t) { return difference / (1 + std::pow(k.omega * t, 2)); };
    const double admittance = 1 / k.x2 - part(1 / k.x1 - 1 / k.x, k.t1) - part(1 / k.x2 - 1 / k.x1, k.t2) + 1 / k.xq2 -
                              part(1 / k.xq2 - 1 / 2.43, 0.0101);
    check("T_a", c.t_a, 2 / admittance / (k.omega * resistance));
  }
}

TEST(Oscillogram, TooShortARecordIsRefused) {
  EXPECT_THROW(read_oscillogram(oscillogram({}, 0.05)), std::invalid_argument);
}

}  // namespace
}  // namespace polepitch
