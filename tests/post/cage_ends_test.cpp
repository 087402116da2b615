// Rings and overhang of a cage against closed forms of straight lines and of a circular ring.
#include "post/cage_ends.h"

#include <gtest/gtest.h>

#include <cmath>

#include "solver/bh_curve.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

/// formula (textbooks of power lines): a two-wire line has (μ0/2π) ln(d/g) a conductor, a three-wire line at equal
/// distances D the same with D; g the conductor's own geometric mean distance.
TEST(CageEnds, OverhangOfTwoAndThreeBarsIsALine) {
  const double r = 0.05, half = 0.02, g = 0.2235 * half;
  record_check("two bars in air: inductance a metre", overhang_inductance(2, 1, r, half),
               mu0 / (2 * pi) * std::log(2 * r / g), 1e-15, "H/m", "two-wire line (formula)", kClosedForm);
  record_check("three bars in air: inductance a metre", overhang_inductance(3, 1, r, half),
               mu0 / (2 * pi) * std::log(std::sqrt(3.0) * r / g), 1e-15, "H/m", "symmetrical three-wire line (formula)",
               kClosedForm);
}

/// Many bars make a current sheet in air: μ0 Q/(4πp) a bar (formula), and in the slot pitch t a local part that
/// depends on the bar alone, the same whatever p is, (μ0/2π) ln(t/(2π g)). Band: waves as short as some pitches.
TEST(CageEnds, OverhangOfManyBarsIsASheet) {
  const double r = 0.1, half = 0.01, g = 0.2235 * half;
  for (int p : {1, 2, 4}) {
    const double sheet = mu0 * 200 / (4 * pi * p) + mu0 / (2 * pi) * std::log(2 * pi * r / 200 / (2 * pi * g));
    EXPECT_NEAR(overhang_inductance(200, p, r, half) / sheet, 1, 2e-3) << p;
  }
}

/// The usual formula for a ring away from the stack against the self-inductance of a circular ring of the same section,
/// (μ0 D/2)(ln(4 D/g) − 2) (Grover; memory), which has its current all round: they were made for different currents and
/// agree within 5 %, as both are ruled by the logarithm.
TEST(CageEnds, RingSegmentIsAPieceOfARing) {
  for (double d : {0.1, 0.142, 0.5}) {
    const double h = 0.02, w = 0.016, g = 0.2235 * (h + w);
    const double whole = mu0 * d / 2 * (std::log(4 * d / g) - 2);
    record_band("ring segment away from the stack, D = " + fmt::format("{:g} mm", 1e3 * d),
                40 * ring_segment_inductance(d, h, w, 40, false), whole, 0.95, 1.05,
                "self-inductance of a circular ring (Grover; memory)", kClosedForm);
  }
  // At the stack the face towards it is not counted: b = 52 mm instead of 72 (hand calculation).
  EXPECT_NEAR(ring_segment_inductance(0.142, 0.02, 0.016, 40, true), 4e-7 * pi * 0.142 / 80 * 2.552146, 1e-14);
}

}  // namespace
}  // namespace polepitch::test
