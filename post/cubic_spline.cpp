#include "post/cubic_spline.h"

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace polepitch {
namespace {

/// Rows below · s[i−1] + middle · s[i] + above · s[i+1] = right.
struct Row {
  double below, middle, above, right;
};

std::vector<double> solve(std::vector<Row> rows) {
  const size_t n = rows.size();
  for (size_t i = 1; i < n; ++i) {
    const double share = rows[i].below / rows[i - 1].middle;
    rows[i].middle -= share * rows[i - 1].above;
    rows[i].right -= share * rows[i - 1].right;
  }
  std::vector<double> s(n);
  s[n - 1] = rows[n - 1].right / rows[n - 1].middle;
  for (size_t i = n - 1; i-- > 0;) s[i] = (rows[i].right - rows[i].above * s[i + 1]) / rows[i].middle;
  return s;
}

}  // namespace

std::vector<double> spline_slopes(std::span<const double> x, std::span<const double> y) {
  const size_t n = x.size();
  if (n == 1) return {0};
  std::vector<double> h, c;  // widths and secants
  for (size_t i = 1; i < n; ++i) {
    h.push_back(x[i] - x[i - 1]);
    c.push_back((y[i] - y[i - 1]) / h.back());
  }
  if (n == 2) return {c[0], c[0]};
  std::vector<Row> rows(n);
  for (size_t i = 1; i + 1 < n; ++i)
    rows[i] = {h[i], 2 * (h[i - 1] + h[i]), h[i - 1], 3 * (h[i] * c[i - 1] + h[i - 1] * c[i])};
  if (n == 3) {
    rows[0] = {0, 1, 1, 2 * c[0]};
    rows[2] = {1, 1, 0, 2 * c[1]};
    return solve(rows);
  }
  // The third derivative does not jump at the second knot and at the last but one.
  const double d = h[0] + h[1], e = h[n - 2] + h[n - 3];
  rows[0] = {0, h[1], d, ((h[0] + 2 * d) * h[1] * c[0] + h[0] * h[0] * c[1]) / d};
  rows[n - 1] = {e, h[n - 3], 0, ((h[n - 2] + 2 * e) * h[n - 3] * c[n - 2] + h[n - 2] * h[n - 2] * c[n - 3]) / e};
  return solve(rows);
}

SplineShares spline_shares(std::span<const double> x, double where) {
  SplineShares s;
  if (x.size() == 1) {
    s.value[0] = 1;
    return s;
  }
  const auto above = static_cast<size_t>(std::upper_bound(x.begin(), x.end(), where) - x.begin());
  const size_t i = std::clamp<size_t>(above, 1, x.size() - 1) - 1;
  s.at = {i, i + 1};
  if (where < x.front() || where > x.back()) {
    const size_t k = where < x.front() ? 0 : 1;
    s.value[k] = 1;
    s.slope[k] = where - x[i + k];
    s.dslope[k] = 1;
    return s;
  }
  const double h = x[i + 1] - x[i], t = (where - x[i]) / h, u = 1 - t;
  s.value = {u * u * (1 + 2 * t), t * t * (1 + 2 * u)};
  s.slope = {h * t * u * u, -h * t * t * u};
  s.dvalue = {-6 * t * u / h, 6 * t * u / h};
  s.dslope = {u * (u - 2 * t), t * (t - 2 * u)};
  return s;
}

SplineSurface::SplineSurface(std::vector<double> x, std::vector<double> y, std::vector<double> z)
    : x_(std::move(x)), y_(std::move(y)) {
  if (x_.empty() || y_.empty() || z.size() != x_.size() * y_.size())
    throw std::logic_error("spline surface: one value a grid point");
  for (std::vector<double>& table : tables_) table = z;
  for (size_t j = 0; j < y_.size(); ++j) {
    const std::vector<double> slopes = spline_slopes(x_, std::span(z).subspan(j * x_.size(), x_.size()));
    std::copy(slopes.begin(), slopes.end(), tables_[1].begin() + static_cast<std::ptrdiff_t>(j * x_.size()));
  }
  std::vector<double> column(y_.size());
  for (size_t bits : {0u, 1u})
    for (size_t i = 0; i < x_.size(); ++i) {
      for (size_t j = 0; j < y_.size(); ++j) column[j] = tables_[bits][j * x_.size() + i];
      const std::vector<double> slopes = spline_slopes(y_, column);
      for (size_t j = 0; j < y_.size(); ++j) tables_[bits | 2u][j * x_.size() + i] = slopes[j];
    }
}

double SplineSurface::at(double x, double y) const {
  const SplineShares sx = spline_shares(x_, x), sy = spline_shares(y_, y);
  double sum = 0;
  for (size_t a = 0; a < 2; ++a)
    for (size_t b = 0; b < 2; ++b) {
      const size_t i = sy.at[b] * x_.size() + sx.at[a];
      sum += sy.value[b] * (sx.value[a] * tables_[0][i] + sx.slope[a] * tables_[1][i]) +
             sy.slope[b] * (sx.value[a] * tables_[2][i] + sx.slope[a] * tables_[3][i]);
    }
  return sum;
}

}  // namespace polepitch
