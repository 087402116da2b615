// Tones and spectra of waves that are known.
#include "post/tones.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "post/dq.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi;

/// A balanced set is one vector, the opposite sequence turns back (formula).
TEST(Tones, SpaceVectorOfABalancedSet) {
  const std::vector<double> axes = phase_axes(3);
  std::vector<double> forward, backward;
  for (double a : axes) {
    forward.push_back(5 * std::cos(0.7 - a));
    backward.push_back(5 * std::cos(0.7 + a));
  }
  EXPECT_NEAR(std::abs(space_vector(forward, axes) - std::polar(5.0, 0.7)), 0, 1e-14);
  EXPECT_NEAR(std::abs(space_vector(backward, axes) - std::polar(5.0, -0.7)), 0, 1e-14);
}

/// Frequencies that do not fit the window come out as they were put in.
TEST(Tones, FrequenciesBetweenTheLinesOfTheWindow) {
  const std::vector<double> omegas = {314.0, -5 * 314.0, -18.53 * 314.0};
  const std::vector<Complex> amplitudes = {{10, 2}, {0.3, -0.1}, {0.2, 0.4}};
  std::vector<double> times;
  std::vector<Complex> values;
  for (int i = 0; i < 200; ++i) {
    times.push_back(0.02 * i / 200);
    Complex sum = 0;
    for (std::size_t k = 0; k < omegas.size(); ++k) sum += amplitudes[k] * std::polar(1.0, omegas[k] * times.back());
    values.push_back(sum);
  }
  const std::vector<Complex> found = fit_tones(times, values, omegas);
  for (std::size_t k = 0; k < omegas.size(); ++k) EXPECT_NEAR(std::abs(found[k] - amplitudes[k]), 0, 1e-12) << k;
}

/// A cosine of the window's own order 9 on a mean of −3 (formula).
TEST(Tones, SpectrumOfAWindow) {
  std::vector<double> values;
  for (int i = 0; i < 128; ++i) values.push_back(-3 + 0.5 * std::cos(2 * pi * 9 * i / 128 + 0.4));
  const std::vector<double> spectrum = hann_spectrum(values, 20);
  EXPECT_NEAR(spectrum[0], 3, 1e-12);
  EXPECT_NEAR(spectrum[9], 0.5, 1e-12);
  EXPECT_NEAR(spectrum[8], 0.25, 1e-12);
  EXPECT_NEAR(spectrum[14], 0, 1e-12);
}

}  // namespace
}  // namespace polepitch
