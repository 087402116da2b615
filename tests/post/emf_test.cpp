// Expected: sums of cosines, whose spectra, derivatives and distortion are formulas.
#include "post/emf.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;

/// Linkage of the phase at the axis `axis`: fundamental 2, third 0.3, fifth −0.1.
double linkage(double angle, double axis) {
  const double a = angle - axis;
  return 2 * std::cos(a + 0.2) + 0.3 * std::cos(3 * a) - 0.1 * std::cos(5 * a + 1);
}

TEST(Emf, PartOfAPeriodIsUnfoldedIntoThePeriod) {
  for (int phases : {3, 5}) {
    const int steps = 7;
    std::vector<std::vector<double>> part(phases);
    for (int m = 0; m < phases; ++m)
      for (int k = 0; k < steps; ++k) part[m].push_back(linkage(pi / phases * k / steps + 0.4, 2 * pi * m / phases));
    const std::vector<double> period = unfold_period(part);
    ASSERT_EQ(period.size(), static_cast<size_t>(2 * phases * steps));
    for (size_t k = 0; k < period.size(); ++k)
      EXPECT_NEAR(period[k], linkage(2 * pi * static_cast<double>(k) / static_cast<double>(period.size()) + 0.4, 0),
                  1e-12);
  }
  EXPECT_THROW(unfold_period({{1.0}, {2.0}}), std::logic_error);
}

TEST(Emf, VoltageIsTheDerivativeOfTheLinkage) {
  const int steps = 48;
  const double omega = 2 * pi * 50;
  std::vector<double> period;
  for (int k = 0; k < steps; ++k) period.push_back(linkage(2 * pi * k / steps, 0));
  const auto voltage = induced_voltage(period_spectrum(period, 20), omega);
  EXPECT_NEAR(std::abs(voltage[1]), 2 * omega, 1e-9);
  EXPECT_NEAR(std::abs(voltage[3]), 0.9 * omega, 1e-9);
  EXPECT_NEAR(std::abs(voltage[5]), 0.5 * omega, 1e-9);
  const std::vector<double> u = waveform(voltage, steps);
  double sum = 0;
  for (int k = 0; k < steps; ++k) {
    const double a = 2 * pi * k / steps;
    EXPECT_NEAR(u[k], omega * (-2 * std::sin(a + 0.2) - 0.9 * std::sin(3 * a) + 0.5 * std::sin(5 * a + 1)), 1e-8);
    sum += u[k];
  }
  EXPECT_NEAR(sum, 0, 1e-8);
  EXPECT_THROW(period_spectrum(period, 24), std::logic_error);
}

TEST(Emf, DistortionCountsWhatItsStandardSays) {
  const std::vector<std::complex<double>> phase = {0, 100.0, 0, 30.0, 0, {0, 4}, 0, 3.0};
  EXPECT_NEAR(total_distortion(phase), std::sqrt(30.0 * 30 + 16 + 9) / 100, 1e-14);
  EXPECT_NEAR(harmonic_voltage_factor(phase), std::sqrt(16e-4 / 5 + 9e-4 / 7), 1e-14);
  const auto line = line_voltage(phase);
  EXPECT_NEAR(std::abs(line[1]), 100 * std::sqrt(3.0), 1e-12);
  EXPECT_NEAR(std::abs(line[3]), 0, 1e-12);
  EXPECT_NEAR(total_distortion(line), 0.05, 1e-14);
  EXPECT_EQ(total_distortion({0, 0}), 0);
}

}  // namespace
}  // namespace polepitch
