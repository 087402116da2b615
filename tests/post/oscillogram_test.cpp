// Constants read from a short-circuit current that is known in closed form.
#include "post/oscillogram.h"

#include <gtest/gtest.h>

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

TEST(Oscillogram, TooShortARecordIsRefused) {
  EXPECT_THROW(read_oscillogram(oscillogram({}, 0.05)), std::invalid_argument);
}

}  // namespace
}  // namespace polepitch
