#include "post/gap_quantities.h"

#include <gtest/gtest.h>

#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

/// Both circles carry A = Σ Re(c_n e^{jnθ}): orders 2 and 6 of a machine with two pole pairs.
GapField two_orders() {
  GapField gap{0.0395, 0.0400, {}};
  gap.harmonics.push_back({2, std::polar(0.010, 0.3), std::polar(0.010, 0.3)});
  gap.harmonics.push_back({6, std::polar(0.001, -0.8), std::polar(0.001, -0.8)});
  return gap;
}

// Formula: inverse transform of the sampled waveform against the closed coefficients.
TEST(GapQuantities, SpectrumIsTheWaveformsFourierSeries) {
  const GapField gap = two_orders();
  const int samples = 64;
  const GapWaveform wave = gap_waveform(gap, samples, 2 * pi);
  for (const GapOrder& order : gap_spectrum(gap, 2)) {
    double c = 0, s = 0;
    for (int i = 0; i < samples; ++i) {
      c += 2.0 / samples * wave.radial[i] * std::cos(order.order * wave.angle[i]);
      s += 2.0 / samples * wave.radial[i] * std::sin(order.order * wave.angle[i]);
    }
    EXPECT_NEAR(order.radial, std::hypot(c, s), 1e-13);
    EXPECT_NEAR(order.radial_phase, std::atan2(s, c), 1e-12);
    EXPECT_EQ(order.electrical_order, order.order / 2.0);
  }
}

// Formula: A = sin(pθ) a gives B_r = (p a/r) cos(pθ): the vector lies on the axis of phase A.
TEST(GapQuantities, FundamentalVectorOfASinePotentialIsReal) {
  GapField gap{0.0395, 0.0400, {}};
  const std::complex<double> sine(0, -0.01);  // Re(−j a e^{jpθ}) = a sin pθ
  gap.harmonics.push_back({2, sine, sine});
  const std::complex<double> b = fundamental_radial(gap, 2);
  EXPECT_GT(b.real(), 0);
  EXPECT_NEAR(b.imag(), 0, 1e-15);
  EXPECT_NEAR(b.real(), gap.flux_density(gap.mean_radius(), 0).radial, 1e-13);
}

TEST(GapQuantities, VectorAngleIsThePhaseOfTheWave) {
  const GapField gap = two_orders();
  EXPECT_NEAR(std::arg(fundamental_radial(gap, 2)), gap_spectrum(gap, 2)[0].radial_phase, 1e-13);
  EXPECT_NEAR(std::abs(fundamental_radial(gap, 2)), gap_spectrum(gap, 2)[0].radial, 1e-13);
}

// Formula: cos(nθ) cos φ = ½ cos(nθ − φ) + ½ cos(nθ + φ): one phase alone is two equal waves.
TEST(GapQuantities, RotatingWaves) {
  std::vector<std::complex<double>> turning, back, pulsating;
  for (int k = 0; k < 12; ++k) {
    const double phase = 2 * pi * k / 12;
    turning.push_back(std::polar(0.8, phase + 0.3));
    back.push_back(std::polar(0.8, 0.3 - phase));
    pulsating.push_back(0.8 * std::cos(phase));
  }
  EXPECT_NEAR(rotating_waves(turning).forward, 0.8, 1e-14);
  EXPECT_NEAR(rotating_waves(turning).backward, 0, 1e-14);
  EXPECT_NEAR(rotating_waves(back).forward, 0, 1e-14);
  EXPECT_NEAR(rotating_waves(back).backward, 0.8, 1e-14);
  EXPECT_NEAR(rotating_waves(pulsating).forward, 0.4, 1e-14);
  EXPECT_NEAR(rotating_waves(pulsating).backward, 0.4, 1e-14);
}

// Formula: B_n ∝ n c_n: (6·0.001)/(2·0.010) = 0.3 up to the small fall of both orders between the circles.
TEST(GapQuantities, HarmonicContent) {
  EXPECT_NEAR(harmonic_content(gap_spectrum(two_orders(), 2), 2), 0.3, 1e-3);
  EXPECT_EQ(harmonic_content({}, 2), 0);
}

// Formula: a pure cosine's largest value is its amplitude, its mean magnitude 2/π of it.
TEST(GapQuantities, PeakAndMeanOfACosine) {
  GapWaveform wave;
  for (int i = 0; i < 400; ++i) wave.radial.push_back(0.9 * std::cos(2 * pi * i / 400));
  EXPECT_NEAR(peak_radial(wave), 0.9, 1e-12);
  EXPECT_NEAR(mean_absolute_radial(wave), 0.9 * 2 / pi, 1e-4);
}

TEST(GapQuantities, CurvesHaveColumnsOfOneLength) {
  const GapField gap = two_orders();
  for (const ResultCurve& curve : {waveform_curve("s", "gap_field", gap_waveform(gap, 36, pi)),
                                   spectrum_curve("s", "gap_spectrum", gap_spectrum(gap, 2))}) {
    ASSERT_FALSE(curve.columns.empty());
    for (const Column& column : curve.columns) EXPECT_EQ(column.values.size(), curve.columns[0].values.size());
  }
  EXPECT_NEAR(waveform_curve("s", "n", gap_waveform(gap, 36, pi)).columns[0].values[1], 5, 1e-12);  // degrees
}

}  // namespace
}  // namespace polepitch
