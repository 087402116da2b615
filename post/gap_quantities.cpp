#include "post/gap_quantities.h"

#include <algorithm>
#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {

namespace {

constexpr double degrees = 180 / pi;

std::vector<double> in_degrees(std::vector<double> angles) {
  for (double& angle : angles) angle *= degrees;
  return angles;
}

/// Re(c e^{jnθ}) = |c| cos(nθ − phase) has phase −arg c; an order that is absent has phase 0.
double phase_of(std::complex<double> c) {
  return c == 0.0 ? 0 : -std::arg(c);
}

}  // namespace

GapWaveform gap_waveform(const GapField& gap, int samples, double span) {
  GapWaveform waveform;
  waveform.radius = gap.mean_radius();
  for (int i = 0; i < samples; ++i) {
    const double theta = span * i / samples;
    const GapField::Flux flux = gap.flux_density(waveform.radius, theta);
    waveform.angle.push_back(theta);
    waveform.radial.push_back(flux.radial);
    waveform.tangential.push_back(flux.tangential);
  }
  return waveform;
}

std::vector<GapOrder> gap_spectrum(const GapField& gap, int pole_pairs) {
  std::vector<GapOrder> orders;
  for (const GapField::FluxOrder& flux : gap.spectrum(gap.mean_radius())) {
    GapOrder order;
    order.order = flux.order;
    order.electrical_order = static_cast<double>(flux.order) / pole_pairs;
    order.radial = std::abs(flux.radial);
    order.radial_phase = phase_of(flux.radial);
    order.tangential = std::abs(flux.tangential);
    order.tangential_phase = phase_of(flux.tangential);
    orders.push_back(order);
  }
  return orders;
}

std::complex<double> fundamental_radial(const GapField& gap, int pole_pairs) {
  const double r = gap.mean_radius();
  // B_r = (1/r) ∂A/∂θ; the vector's angle is the negative of the coefficient's, hence the conjugate.
  return std::conj(std::complex<double>(0, pole_pairs / r) * gap.potential_order(r, pole_pairs));
}

RotatingWaves rotating_waves(const std::vector<std::complex<double>>& vectors) {
  std::complex<double> forward = 0, backward = 0;
  const double count = static_cast<double>(vectors.size());
  for (std::size_t k = 0; k < vectors.size(); ++k) {
    const std::complex<double> turn = std::polar(1.0, 2 * pi * static_cast<double>(k) / count);
    forward += vectors[k] * std::conj(turn);
    backward += vectors[k] * turn;
  }
  if (vectors.empty()) return {};
  return {std::abs(forward) / count, std::abs(backward) / count};
}

double harmonic_content(const std::vector<GapOrder>& spectrum, int pole_pairs) {
  double fundamental = 0, others = 0;
  for (const GapOrder& order : spectrum) {
    if (order.order == pole_pairs) {
      fundamental = order.radial;
    } else {
      others += order.radial * order.radial;
    }
  }
  return fundamental > 0 ? std::sqrt(others) / fundamental : 0;
}

double peak_radial(const GapWaveform& waveform) {
  double peak = 0;
  for (double b : waveform.radial) peak = std::max(peak, std::abs(b));
  return peak;
}

double mean_absolute_radial(const GapWaveform& waveform) {
  double sum = 0;
  for (double b : waveform.radial) sum += std::abs(b);
  return waveform.radial.empty() ? 0 : sum / static_cast<double>(waveform.radial.size());
}

ResultCurve waveform_curve(const std::string& study, const std::string& name, const GapWaveform& waveform) {
  ResultCurve curve{
      .study = study, .name = name, .title = "Air-gap flux density on the mean gap circle", .columns = {}};
  curve.columns = {{"angle", "deg", in_degrees(waveform.angle)},
                   {"B_r", "T", waveform.radial},
                   {"B_theta", "T", waveform.tangential}};
  return curve;
}

ResultCurve spectrum_curve(const std::string& study, const std::string& name, const std::vector<GapOrder>& spectrum) {
  ResultCurve curve{
      .study = study, .name = name, .title = "Spectrum of the air-gap flux density", .columns = {}, .spectrum = true};
  curve.columns = {{"order", "", {}},        {"electrical_order", "", {}}, {"B_r", "T", {}},
                   {"B_r_phase", "deg", {}}, {"B_theta", "T", {}},         {"B_theta_phase", "deg", {}}};
  for (const GapOrder& order : spectrum) {
    const double row[] = {static_cast<double>(order.order), order.electrical_order, order.radial,
                          order.radial_phase * degrees,     order.tangential,       order.tangential_phase * degrees};
    for (std::size_t i = 0; i < curve.columns.size(); ++i) curve.columns[i].values.push_back(row[i]);
  }
  return curve;
}

}  // namespace polepitch
