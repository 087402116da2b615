#include "post/gap_samples.h"

#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {

CircleSamples sample_circle(const GapField& gap, double r, int count) {
  const auto n = static_cast<std::size_t>(count);
  CircleSamples s{r, std::vector<double>(n), std::vector<double>(n), std::vector<double>(n)};
  std::vector<double> cosine(n), sine(n);
  for (std::size_t k = 0; k < n; ++k) {
    cosine[k] = std::cos(2 * pi * static_cast<double>(k) / count);
    sine[k] = std::sin(2 * pi * static_cast<double>(k) / count);
  }
  const std::vector<GapField::FluxOrder> orders = gap.spectrum(r);
  for (const GapField::FluxOrder& f : orders) {
    const std::complex<double> a = gap.potential_order(r, f.order);
    const auto stride = static_cast<std::size_t>(f.order) % n;
    std::size_t at = 0;
    for (std::size_t k = 0; k < n; ++k) {
      const double c = cosine[at], q = sine[at];
      s.a[k] += a.real() * c - a.imag() * q;
      s.b_radial[k] += f.radial.real() * c - f.radial.imag() * q;
      s.b_tangential[k] += f.tangential.real() * c - f.tangential.imag() * q;
      at += stride;
      if (at >= n) at -= n;
    }
  }
  return s;
}

}  // namespace polepitch
