#include "post/emf.h"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;

double phase_of(size_t step, size_t order, size_t count) {
  return 2 * pi * static_cast<double>((step * order) % count) / static_cast<double>(count);
}

}  // namespace

std::vector<double> unfold_period(const std::vector<std::vector<double>>& phases) {
  const size_t m = phases.size();
  if (m % 2 == 0) throw std::logic_error("unfold_period: an odd number of phases");
  std::vector<double> period;
  size_t phase = 0;
  double sign = 1;
  for (size_t part = 0; part < 2 * m; ++part) {
    for (double value : phases[phase]) period.push_back(sign * value);
    phase = (phase + (m - 1) / 2) % m;
    sign = -sign;
  }
  return period;
}

std::vector<std::complex<double>> period_spectrum(const std::vector<double>& steps, int highest) {
  const size_t count = steps.size();
  if (highest < 0 || 2 * static_cast<size_t>(highest) >= count)
    throw std::logic_error("period_spectrum: too few steps for the highest order");
  std::vector<std::complex<double>> spectrum;
  for (size_t n = 0; n <= static_cast<size_t>(highest); ++n) {
    std::complex<double> sum = 0;
    for (size_t k = 0; k < count; ++k) sum += steps[k] * std::polar(1.0, -phase_of(k, n, count));
    spectrum.push_back(sum * (n == 0 ? 1.0 : 2.0) / static_cast<double>(count));
  }
  return spectrum;
}

std::vector<std::complex<double>> induced_voltage(const std::vector<std::complex<double>>& linkage, double omega) {
  std::vector<std::complex<double>> voltage;
  for (size_t n = 0; n < linkage.size(); ++n)
    voltage.push_back(std::complex<double>(0, static_cast<double>(n) * omega) * linkage[n]);
  return voltage;
}

std::vector<double> waveform(const std::vector<std::complex<double>>& spectrum, int count) {
  std::vector<double> values(static_cast<size_t>(count), 0.0);
  for (size_t k = 0; k < values.size(); ++k)
    for (size_t n = 0; n < spectrum.size(); ++n)
      values[k] += std::real(spectrum[n] * std::polar(1.0, phase_of(k, n, values.size())));
  return values;
}

std::vector<std::complex<double>> line_voltage(const std::vector<std::complex<double>>& phase) {
  std::vector<std::complex<double>> line;
  for (size_t n = 0; n < phase.size(); ++n)
    line.push_back(n % 3 == 0 ? 0.0 : phase[n] * (1.0 - std::polar(1.0, -phase_of(n, 1, 3))));
  return line;
}

double total_distortion(const std::vector<std::complex<double>>& spectrum) {
  if (spectrum.size() < 2 || std::abs(spectrum[1]) == 0) return 0;
  double sum = 0;
  for (size_t n = 2; n < spectrum.size(); ++n) sum += std::norm(spectrum[n]);
  return std::sqrt(sum) / std::abs(spectrum[1]);
}

double harmonic_voltage_factor(const std::vector<std::complex<double>>& spectrum) {
  if (spectrum.size() < 2 || std::abs(spectrum[1]) == 0) return 0;
  double sum = 0;
  for (size_t n = 2; n < spectrum.size() && n <= 13; ++n)
    if (n % 3 != 0) sum += std::norm(spectrum[n] / spectrum[1]) / static_cast<double>(n);
  return std::sqrt(sum);
}

}  // namespace polepitch
