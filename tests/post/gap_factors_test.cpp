#include "post/gap_factors.h"

#include <gtest/gtest.h>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

// Formula: theory.md eq. 30: b/δ = 3 gives γ = 1.126643.
TEST(GapFactors, Carter) {
  EXPECT_NEAR(carter_gamma(3e-3, 1e-3), 1.126643, 5e-7);
  EXPECT_NEAR(carter_factor(10e-3, 3e-3, 1e-3), 10 / (10 - 1.126643), 1e-6);
  EXPECT_EQ(carter_factor(10e-3, 0, 1e-3), 1);
}

// Formula: sheet K = 10 kA/m on the bore, p 2, 39.5/40 mm, 10 kA/m: 0.499612 T.
TEST(GapFactors, SheetOnTheBore) {
  EXPECT_NEAR(mu0 * 10e3 * annulus_factor(39.5e-3, 40e-3, 2), 0.499612, 5e-7);
}

// Formula: theory.md eq. 31: m 3, N 100, k_w 0.95, L 0.1 m, same radii: 43.0578 mH.
TEST(GapFactors, SlotlessMainInductance) {
  EXPECT_NEAR(slotless_main_inductance(3, 2, 100, 0.95, 0.1, 39.5e-3, 40e-3), 43.0578e-3, 5e-8);
}

}  // namespace
}  // namespace polepitch
