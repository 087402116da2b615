// The rule of saturation in time-harmonic fields: circular and linear loci, the tangent against differences.
#include "solver/locus_law.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

namespace polepitch {
namespace {

BhCurve steel() {
  const std::vector<double> b = {0, 0.5, 1.0, 1.3, 1.5, 1.7, 1.9}, h = {0, 80, 160, 350, 1200, 5000, 15000};
  return BhCurve(b, h);
}

/// formula: a field that turns with constant |B| has H = ν(B) B at every instant.
TEST(LocusLaw, CircularLocusHasTheReluctivityOfItsMagnitude) {
  const BhCurve curve = steel();
  for (double magnitude : {0.3, 1.2, 1.5, 1.8}) {
    const double b[4] = {magnitude, 0, 0, -magnitude};  // x = cos ωt, y = sin ωt
    const LocusLaw law = locus_law(curve, b);
    const double h = curve.h(magnitude);
    EXPECT_NEAR(law.h[0], h, 1e-12 * h);
    EXPECT_NEAR(law.h[3], -h, 1e-12 * h);
    EXPECT_NEAR(law.h[1], 0, 1e-9 * h);
    EXPECT_NEAR(law.h[2], 0, 1e-9 * h);
  }
}

/// formula: of a pulsating field the fundamental of H, (2/π) ∫ h(B cos t) cos t dt over half a period; here with 20,000
/// instants against the rule's 16. The curve is smooth but for its second derivative at the table's points, which
/// leaves 2e-3 of this curve's sharp knee (1.3e-4 of a measured steel: cage_field_test.cpp).
TEST(LocusLaw, LinearLocusHasTheFundamentalOfH) {
  const BhCurve curve = steel();
  for (double amplitude : {0.5, 1.2, 1.5}) {
    double sum = 0;
    constexpr int n = 20000;
    for (int k = 0; k < n; ++k) {
      const double t = std::numbers::pi * (k + 0.5) / n, b = amplitude * std::cos(t);
      sum += 2.0 / n * std::copysign(curve.h(std::abs(b)), b) * std::cos(t);
    }
    const double b[4] = {0.6 * amplitude, 0.8 * amplitude, 0, 0};
    const LocusLaw law = locus_law(curve, b);
    EXPECT_NEAR(law.h[0], 0.6 * sum, 2e-3 * sum) << amplitude;
    EXPECT_NEAR(law.h[1], 0.8 * sum, 2e-3 * sum) << amplitude;
    EXPECT_NEAR(law.h[2], 0, 1e-9 * sum);
  }
}

TEST(LocusLaw, TangentIsSymmetricAndTheDerivative) {
  const BhCurve curve = steel();
  const double b[4] = {1.1, -0.4, 0.3, 0.9};
  const LocusLaw law = locus_law(curve, b);
  for (int j = 0; j < 4; ++j) {
    double up[4], down[4];
    for (int i = 0; i < 4; ++i) up[i] = down[i] = b[i];
    up[j] += 1e-6, down[j] -= 1e-6;
    const LocusLaw above = locus_law(curve, up), below = locus_law(curve, down);
    for (int i = 0; i < 4; ++i) {
      EXPECT_NEAR(law.tangent[i][j], (above.h[i] - below.h[i]) / 2e-6, 1e-5 * law.tangent[j][j]);
      EXPECT_EQ(law.tangent[i][j], law.tangent[j][i]);
    }
  }
}

}  // namespace
}  // namespace polepitch
