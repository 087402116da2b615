#include "solver/gap_field.h"

#include <algorithm>
#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// ln(r_outer/r_inner) of the two circles.
double span_of(const GapField& g) {
  return std::log(g.outer_radius() / g.inner_radius());
}

/// Weights of the stator's and the rotor's coefficient in u(r), and in r u'(r).
struct Blend {
  double stator, rotor, stator_slope, rotor_slope;
};

/// The same for the outer and the inner circle.
Blend blend_from_inside(const GapField& g, double r, int n) {
  const double span = span_of(g), up = std::log(r / g.inner_radius()), down = span - up;
  if (n == 0) return {up / span, down / span, 1 / span, -1 / span};
  // sinh(n up)/sinh(n span) and so on, with decaying exponentials only
  const double bottom = 1 - std::exp(-2 * n * span);
  const double eu = std::exp(-2 * n * up), ed = std::exp(-2 * n * down);
  const double fall_outer = std::exp(-n * down), fall_inner = std::exp(-n * up);
  return {fall_outer * (1 - eu) / bottom, fall_inner * (1 - ed) / bottom, n * fall_outer * (1 + eu) / bottom,
          -n * fall_inner * (1 + ed) / bottom};
}

Blend blend(const GapField& g, double r, int n) {
  const Blend b = blend_from_inside(g, r, n);
  if (g.rotor_radius < g.stator_radius) return b;
  return {b.rotor, b.stator, b.rotor_slope, b.stator_slope};
}

double csch_scaled(const GapField& g, int n) {  // 1 / sinh(n span)
  const double e = std::exp(-n * span_of(g));
  return 2 * e / (1 - e * e);
}

}  // namespace

double GapField::potential(double r, double theta) const {
  double sum = 0;
  for (const GapHarmonic& h : harmonics) {
    const Blend w = blend(*this, r, h.order);
    sum += std::real((w.stator * h.stator + w.rotor * h.rotor) * std::polar(1.0, h.order * theta));
  }
  return sum;
}

Complex GapField::potential_order(double r, int order) const {
  for (const GapHarmonic& h : harmonics)
    if (h.order == order) {
      const Blend w = blend(*this, r, order);
      return w.stator * h.stator + w.rotor * h.rotor;
    }
  return 0;
}

GapField::Flux GapField::flux_density(double r, double theta) const {
  Flux flux{0, 0};
  for (const FluxOrder& f : spectrum(r)) {
    const Complex turn = std::polar(1.0, f.order * theta);
    flux.radial += std::real(f.radial * turn);
    flux.tangential += std::real(f.tangential * turn);
  }
  return flux;
}

std::vector<GapField::FluxOrder> GapField::spectrum(double r) const {
  std::vector<FluxOrder> orders;
  orders.reserve(harmonics.size());
  for (const GapHarmonic& h : harmonics) {
    const Blend w = blend(*this, r, h.order);
    const Complex u = w.stator * h.stator + w.rotor * h.rotor;
    const Complex slope = w.stator_slope * h.stator + w.rotor_slope * h.rotor;
    orders.push_back({h.order, Complex(0, h.order) * u / r, -slope / r});
  }
  return orders;
}

double GapField::torque_per_length() const {
  double sum = 0;
  for (const GapHarmonic& h : harmonics)
    if (h.order > 0) sum += h.order * h.order * csch_scaled(*this, h.order) * std::imag(h.stator * std::conj(h.rotor));
  return -pi / mu0 * sum;
}

double GapField::energy_per_length() const {
  double sum = 0;
  const double span = span_of(*this);
  for (const GapHarmonic& h : harmonics) {
    if (h.order == 0) {
      sum += 2 * std::norm(h.stator - h.rotor) / span;
      continue;
    }
    const double e = std::exp(-2 * h.order * span), coth = (1 + e) / (1 - e);
    sum += h.order * (coth * (std::norm(h.stator) + std::norm(h.rotor)) -
                      2 * csch_scaled(*this, h.order) * std::real(std::conj(h.stator) * h.rotor));
  }
  return pi / (2 * mu0) * sum;
}

}  // namespace polepitch
