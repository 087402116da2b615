#include "post/gap_factors.h"

#include <gtest/gtest.h>

#include "solver/bh_curve.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using namespace test;

// Formula: theory.md eq. 30: b/δ = 3 gives γ = 1.126643.
TEST(GapFactors, Carter) {
  const std::string source = "Carter 1901 (formula)";
  record_check("Carter's γ, opening of three gaps", carter_gamma(3e-3, 1e-3), 1.126643, 5e-7, "1", source, kClosedForm);
  record_check("Carter's factor, pitch of ten and opening of three gaps", carter_factor(10e-3, 3e-3, 1e-3),
               10 / (10 - 1.126643), 1e-6, "1", source, kClosedForm);
  EXPECT_EQ(carter_factor(10e-3, 0, 1e-3), 1);
}

// Formula: sheet K = 10 kA/m on the bore, p 2, 39.5/40 mm, 10 kA/m: 0.499612 T.
TEST(GapFactors, SheetOnTheBore) {
  record_check("B_r of a sheet of 10 kA/m on the bore", mu0 * 10e3 * annulus_factor(39.5e-3, 40e-3, 2), 0.499612, 5e-7,
               "T", "B_r(Rs) = μ0 K (1+ρ)/(1−ρ) (formula)", kClosedForm);
}

// Formula: theory.md eq. 31: m 3, N 100, k_w 0.95, L 0.1 m, same radii: 43.0578 mH.
TEST(GapFactors, SlotlessMainInductance) {
  record_check("slotless main inductance", 1e3 * slotless_main_inductance(3, 2, 100, 0.95, 0.1, 39.5e-3, 40e-3),
               43.0578, 5e-5, "mH", "L_m = 2 m μ0 L (k_w N)²/(π p) (1+ρ)/(1−ρ) (formula)", kClosedForm);
}

}  // namespace
}  // namespace polepitch
