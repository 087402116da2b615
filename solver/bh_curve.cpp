#include "solver/bh_curve.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace polepitch {

namespace {

constexpr double saturated_slope = 1 / mu0;  // dH/dB of a medium that has no polarisation left to give
constexpr int most_buckets = 1024;

/// Fritsch–Butland weighted harmonic mean of two secants, the slope rule of PCHIP (F. N. Fritsch, J. Butland, SIAM J.
/// Sci. Stat. Comput. 5(2), 1984; memory): never more than three times the smaller secant, hence monotone.
double inner_slope(double width_left, double width_right, double secant_left, double secant_right) {
  const double w_left = 2 * width_right + width_left;
  const double w_right = width_right + 2 * width_left;
  return (w_left + w_right) / (w_left / secant_left + w_right / secant_right);
}

/// Three-point slope at the table's end, kept at or above the last secant: steel saturates, it does not recover.
double last_slope(const std::vector<double>& width, const std::vector<double>& secant) {
  const size_t n = secant.size();
  if (n == 1) return std::min(saturated_slope, secant[0]);
  const double w1 = width[n - 1], w2 = width[n - 2];
  const double slope = ((2 * w1 + w2) * secant[n - 1] - w1 * secant[n - 2]) / (w1 + w2);
  return std::min(saturated_slope, std::clamp(slope, secant[n - 1], 3 * secant[n - 1]));
}

/// Slope dH/dB at every row but the first.
std::vector<double> slopes(const std::vector<double>& width, const std::vector<double>& secant) {
  const size_t n = secant.size();
  std::vector<double> slope(n + 1, 0.0);
  for (size_t i = 1; i < n; ++i) slope[i] = inner_slope(width[i - 1], width[i], secant[i - 1], secant[i]);
  slope[n] = last_slope(width, secant);
  // The polarisation, B/μ0 − H, must not fall between rows either: the same three-secant rule, seen from 1/μ0.
  for (size_t i = 1; i <= n; ++i) {
    const double smaller = i < n ? std::min(secant[i - 1], secant[i]) : secant[i - 1];
    const double larger = i < n ? std::max(secant[i - 1], secant[i]) : secant[i - 1];
    slope[i] = std::max(slope[i], std::min(3 * larger - 2 * saturated_slope, 3 * smaller));
  }
  // The first segment is odd in B (below): its slope at 0 is (3 secant − slope)/2, which this keeps well above zero.
  slope[1] = std::min(slope[1], 2 * secant[0]);
  return slope;
}

}  // namespace

BhCurve::BhCurve(double mu_r) : nu_linear_(1 / (mu0 * mu_r)) {}

BhCurve::BhCurve(std::span<const double> b, std::span<const double> h, double stacking) {
  const size_t n = b.size() - 1;
  std::vector<double> flux(n + 1), width(n), secant(n);
  for (size_t i = 0; i <= n; ++i) flux[i] = stacking * b[i] + (1 - stacking) * mu0 * h[i];
  for (size_t i = 0; i < n; ++i) {
    width[i] = flux[i + 1] - flux[i];
    secant[i] = (h[i + 1] - h[i]) / width[i];
  }
  const std::vector<double> slope = slopes(width, secant);
  // H is odd in B, so the first segment has no square term: ν and dν/d(B²) stay finite at 0.
  const double cubic = (slope[1] - secant[0]) / (2 * width[0] * width[0]);
  segments_.push_back({0, 0, secant[0] - cubic * width[0] * width[0], 0, cubic, 0});
  for (size_t i = 1; i < n; ++i) {
    const double c2 = (3 * secant[i] - 2 * slope[i] - slope[i + 1]) / width[i];
    const double c3 = (slope[i] + slope[i + 1] - 2 * secant[i]) / (width[i] * width[i]);
    segments_.push_back({flux[i], h[i], slope[i], c2, c3, 0});
  }
  table_end_ = flux[n];
  close_with_knee(h[n], slope[n]);
  integrate_and_index(*std::min_element(width.begin(), width.end()));
}

// Past the table dH/dB = 1/μ0 − (1/μ0 − d) (1 − s/S)², then straight. The span S = 3 H/d gives the knee the
// polarisation H dJ/dH that the law of approach to saturation, J = J_s − a/H, still promises at the table's end.
void BhCurve::close_with_knee(double h_end, double slope_end) {
  const double span = 3 * h_end / slope_end;
  const double rest = saturated_slope - slope_end;
  segments_.push_back({table_end_, h_end, slope_end, rest / span, -rest / (3 * span * span), 0});
  const double h_straight = h_end + span * (saturated_slope - rest / 3);
  segments_.push_back({table_end_ + span, h_straight, saturated_slope, 0, 0, 0});
}

namespace {

double integral(double h0, double c1, double c2, double c3, double s) {
  return s * (h0 + s * (c1 / 2 + s * (c2 / 3 + s * c3 / 4)));
}

}  // namespace

void BhCurve::integrate_and_index(double narrowest) {
  for (size_t i = 1; i < segments_.size(); ++i) {
    const Segment& s = segments_[i - 1];
    segments_[i].w = s.w + integral(s.h0, s.c1, s.c2, s.c3, segments_[i].b0 - s.b0);
  }
  const double range = segments_.back().b0;
  const int buckets = static_cast<int>(std::clamp(std::ceil(range / narrowest), 1.0, double{most_buckets}));
  bucket_per_tesla_ = buckets / range;
  bucket_.resize(buckets);
  int segment = 0;
  for (int i = 0; i < buckets; ++i) {
    // A hair low, so that rounding of b × buckets/T never lands in a bucket that starts past b's segment.
    const double start = (i - 1e-9) / bucket_per_tesla_;
    while (segments_[segment + 1].b0 <= start) ++segment;
    bucket_[i] = segment;
  }
}

const BhCurve::Segment& BhCurve::find(double b) const {
  const double position = b * bucket_per_tesla_;
  const size_t last = segments_.size() - 1;
  if (!(position < static_cast<double>(bucket_.size()))) return segments_[last];
  size_t i = bucket_[static_cast<int>(position)];
  while (i < last && segments_[i + 1].b0 <= b) ++i;
  return segments_[i];
}

BhCurve::Sample BhCurve::at(double b) const {
  if (linear()) return {nu_linear_ * b, nu_linear_};
  const Segment& g = find(b);
  const double s = b - g.b0;
  return {g.h0 + s * (g.c1 + s * (g.c2 + s * g.c3)), g.c1 + s * (2 * g.c2 + 3 * s * g.c3)};
}

void BhCurve::reluctivity(double b_squared, double& nu, double& dnu_db2) const {
  if (linear()) {
    nu = nu_linear_;
    dnu_db2 = 0;
    return;
  }
  const double b = std::sqrt(b_squared);
  const Segment& g = find(b);
  if (g.b0 == 0) {  // ν is a polynomial in B² here: nothing is divided by a B near 0
    nu = g.c1 + b_squared * g.c3;
    dnu_db2 = g.c3;
    return;
  }
  const double s = b - g.b0;
  nu = (g.h0 + s * (g.c1 + s * (g.c2 + s * g.c3))) / b;
  dnu_db2 = (g.c1 + s * (2 * g.c2 + 3 * s * g.c3) - nu) / (2 * b_squared);
}

// As above, the roots and quotients of four places at once.
POLEPITCH_CLONES void BhCurve::reluctivity(const Lanes* b_squared, Lanes* nu, Lanes* dnu_db2, int count) const {
  constexpr double kTiny = 1e-30;  // B² that is not divided by: the first segment does not use the quotient
  const Lanes none = {}, two = none + 2, three = none + 3;
  for (int k = 0; k < count; ++k) {
    const Lanes squared = b_squared[k];
    Lanes b, b0, h0, c1, c2, c3;
    for (int l = 0; l < kLanes; ++l) b[l] = std::sqrt(squared[l]);
    for (int l = 0; l < kLanes; ++l) {
      const Segment& g = find(b[l]);
      b0[l] = g.b0, h0[l] = g.h0, c1[l] = g.c1, c2[l] = g.c2, c3[l] = g.c3;
    }
    const Lanes s = b - b0;
    const Lanes ratio = (h0 + s * (c1 + s * (c2 + s * c3))) / (squared > kTiny ? b : none + 1);
    const Lanes rate = (c1 + s * (two * c2 + three * s * c3) - ratio) / (two * (squared > kTiny ? squared : none + 1));
    nu[k] = b0 == none ? c1 + squared * c3 : ratio;
    dnu_db2[k] = b0 == none ? c3 : rate;
  }
}

double BhCurve::energy(double b) const {
  if (linear()) return 0.5 * nu_linear_ * b * b;
  const Segment& g = find(b);
  return g.w + integral(g.h0, g.c1, g.c2, g.c3, b - g.b0);
}

BhFault check_bh_table(std::span<const double> b, std::span<const double> h) {
  constexpr double rounding = 1e-6;  // of a slope typed with few digits, or with μ0 = 4π·10⁻⁷
  if (b.size() != h.size()) return {fmt::format("the table has {} values of B and {} of H", b.size(), h.size()), -1};
  if (b.size() < 2) return {"the table needs at least two rows, the first at B = 0 and H = 0", -1};
  for (size_t i = 0; i < b.size(); ++i) {
    const int row = static_cast<int>(i);
    if (!std::isfinite(b[i]) || !std::isfinite(h[i])) return {"B and H must be finite numbers", row};
    if (i == 0) {
      if (b[0] != 0 || h[0] != 0) return {"the table must start at B = 0 and H = 0", row};
      continue;
    }
    if (!(b[i] > b[i - 1])) return {fmt::format("B does not rise: {:.6g} T after {:.6g} T", b[i], b[i - 1]), row};
    if (!(h[i] > h[i - 1])) return {fmt::format("H does not rise: {:.6g} A/m after {:.6g} A/m", h[i], h[i - 1]), row};
    const double mu_r = (b[i] - b[i - 1]) / (h[i] - h[i - 1]) / mu0;
    if (mu_r < 1 - rounding)
      return {fmt::format("the slope dB/dH is {:.4g} times that of vacuum, under 1 (B rises by {:.4g} T while H rises "
                          "by {:.4g} A/m)",
                          mu_r, b[i] - b[i - 1], h[i] - h[i - 1]),
              row};
  }
  return {};
}

}  // namespace polepitch
