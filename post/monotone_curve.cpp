#include "post/monotone_curve.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace polepitch {
namespace {

double between(double left_width, double left, double right_width, double right) {
  if (left * right <= 0) return 0;
  const double w1 = 2 * right_width + left_width, w2 = right_width + 2 * left_width;
  return (w1 + w2) / (w1 / left + w2 / right);
}

/// The parabola through the three outermost points, kept between 0 and three times the outer secant.
double at_end(double width, double secant, double next_width, double next_secant) {
  const double slope = secant + (secant - next_secant) * width / (width + next_width);
  const double bound = 3 * secant;
  return secant >= 0 ? std::clamp(slope, 0.0, bound) : std::clamp(slope, bound, 0.0);
}

std::vector<double> slopes(const std::vector<double>& x, const std::vector<double>& y) {
  const size_t n = x.size();
  std::vector<double> width, secant, slope(n);
  for (size_t i = 1; i < n; ++i) {
    width.push_back(x[i] - x[i - 1]);
    secant.push_back((y[i] - y[i - 1]) / width.back());
  }
  if (n == 2) return {secant[0], secant[0]};
  for (size_t i = 1; i + 1 < n; ++i) slope[i] = between(width[i - 1], secant[i - 1], width[i], secant[i]);
  slope.front() = at_end(width[0], secant[0], width[1], secant[1]);
  slope.back() = at_end(width[n - 2], secant[n - 2], width[n - 3], secant[n - 3]);
  return slope;
}

}  // namespace

MonotoneCurve::MonotoneCurve(std::vector<double> x, std::vector<double> y) : x_(std::move(x)), y_(std::move(y)) {
  if (x_.size() != y_.size() || x_.size() < 2) throw std::logic_error("monotone curve: two columns of points");
  for (size_t i = 1; i < x_.size(); ++i)
    if (!(x_[i] > x_[i - 1])) throw std::logic_error("monotone curve: x must rise");
  slope_ = slopes(x_, y_);
}

double MonotoneCurve::at(double x) const {
  if (x <= x_.front()) return y_.front() + slope_.front() * (x - x_.front());
  if (x >= x_.back()) return y_.back() + slope_.back() * (x - x_.back());
  const auto i = static_cast<size_t>(std::upper_bound(x_.begin(), x_.end(), x) - x_.begin()) - 1;
  const double h = x_[i + 1] - x_[i], t = (x - x_[i]) / h, u = 1 - t;
  return u * u * (1 + 2 * t) * y_[i] + t * t * (1 + 2 * u) * y_[i + 1] +
         h * t * u * (u * slope_[i] - t * slope_[i + 1]);
}

double MonotoneCurve::where(double y) const {
  if (!(y >= y_.front() && y <= y_.back())) throw std::logic_error("monotone curve: value outside");
  double low = x_.front(), high = x_.back();
  for (int step = 0; step < 200 && high - low > 1e-15 * (std::abs(high) + std::abs(low)); ++step) {
    const double middle = 0.5 * (low + high);
    (at(middle) < y ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

MonotoneCurve MonotoneCurve::with(double x, double y) const {
  const double near = 1e-9 * (x_.back() - x_.front());
  std::vector<double> xs, ys;
  bool placed = false;
  for (size_t i = 0; i < x_.size(); ++i) {
    if (!placed && x <= x_[i] + near) {
      xs.push_back(x);
      ys.push_back(y);
      placed = true;
      if (std::abs(x - x_[i]) <= near) continue;
    }
    xs.push_back(x_[i]);
    ys.push_back(y_[i]);
  }
  if (!placed) {
    xs.push_back(x);
    ys.push_back(y);
  }
  return {xs, ys};
}

}  // namespace polepitch
