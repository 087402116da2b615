#include "tests/physics/layered_helper.h"

#include <Eigen/Dense>
#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch::test {
namespace {

constexpr std::complex<double> kJ(0, 1);

}  // namespace

// ∇²A = −μ J + (1/r) ∂B_rem,r/∂θ in each ring; A and ν ∂A/∂r continuous, ν ∂A/∂r = 0 on both permeable surfaces.
LayeredField::LayeredField(int order, double inner_radius, std::vector<RingLayer> layers)
    : order_(order), inner_radius_(inner_radius), layers_(std::move(layers)) {
  const auto count = static_cast<Eigen::Index>(layers_.size());
  Eigen::MatrixXcd m = Eigen::MatrixXcd::Zero(2 * count, 2 * count);
  Eigen::VectorXcd right = Eigen::VectorXcd::Zero(2 * count);
  // Slope times r/(n μr), so that all rows are of one size.
  const auto add_slope = [&](Eigen::Index row, Eigen::Index k, double r, double sign) {
    const double scale = sign / layers_[k].mu_r;
    m(row, 2 * k) += scale * std::pow(r / layers_[k].outer_radius, order_);
    m(row, 2 * k + 1) -= scale * std::pow(inner(k) / r, order_);
    right(row) -= scale * r / order_ * particular_slope(k, r);
  };
  add_slope(0, 0, inner_radius_, 1);
  for (Eigen::Index k = 0; k + 1 < count; ++k) {
    const double r = layers_[k].outer_radius;
    add_slope(2 * k + 1, k, r, 1);
    add_slope(2 * k + 1, k + 1, r, -1);
    m(2 * k + 2, 2 * k) = 1;
    m(2 * k + 2, 2 * k + 1) = std::pow(inner(k) / r, order_);
    m(2 * k + 2, 2 * k + 2) = -std::pow(r / layers_[k + 1].outer_radius, order_);
    m(2 * k + 2, 2 * k + 3) = -1;
    right(2 * k + 2) = particular(k + 1, r) - particular(k, r);
  }
  add_slope(2 * count - 1, count - 1, layers_.back().outer_radius, 1);
  const Eigen::VectorXcd x = m.fullPivLu().solve(right);
  for (Eigen::Index k = 0; k < count; ++k) {
    rising_.push_back(x(2 * k));
    falling_.push_back(x(2 * k + 1));
  }
}

std::complex<double> LayeredField::particular(size_t layer, double r) const {
  const RingLayer& l = layers_[layer];
  const double n = order_;
  const std::complex<double> current = -mu0 * l.mu_r * l.current_density, magnet = kJ * n * l.radial_remanence;
  std::complex<double> a = order_ == 2 ? current * r * r * std::log(r) / 4.0 : current * r * r / (4 - n * n);
  a += order_ == 1 ? magnet * r * std::log(r) / 2.0 : magnet * r / (1 - n * n);
  return a;
}

std::complex<double> LayeredField::particular_slope(size_t layer, double r) const {
  const RingLayer& l = layers_[layer];
  const double n = order_;
  const std::complex<double> current = -mu0 * l.mu_r * l.current_density, magnet = kJ * n * l.radial_remanence;
  std::complex<double> s = order_ == 2 ? current * r * (2 * std::log(r) + 1) / 4.0 : 2.0 * current * r / (4 - n * n);
  s += order_ == 1 ? magnet * (std::log(r) + 1) / 2.0 : magnet / (1 - n * n);
  return s;
}

size_t LayeredField::layer_at(double r) const {
  size_t k = 0;
  while (k + 1 < layers_.size() && r > layers_[k].outer_radius) ++k;
  return k;
}

std::complex<double> LayeredField::potential(double r) const {
  const size_t k = layer_at(r);
  return rising_[k] * std::pow(r / layers_[k].outer_radius, order_) + falling_[k] * std::pow(inner(k) / r, order_) +
         particular(k, r);
}

std::complex<double> LayeredField::slope(size_t k, double r) const {
  const double n = order_;
  return n / r *
             (rising_[k] * std::pow(r / layers_[k].outer_radius, order_) -
              falling_[k] * std::pow(inner(k) / r, order_)) +
         particular_slope(k, r);
}

std::complex<double> LayeredField::radial(double r) const {
  return kJ * static_cast<double>(order_) * potential(r) / r;
}

std::complex<double> LayeredField::tangential(double r) const {
  return -slope(layer_at(r), r);
}

std::complex<double> LayeredField::mean_potential(int layer) const {
  const double from = inner(layer), to = layers_[layer].outer_radius;
  const int steps = 400;  // Simpson
  std::complex<double> sum = 0;
  for (int i = 0; i <= steps; ++i) {
    const double r = from + (to - from) * i / steps;
    const double weight = i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2;
    sum += weight * r * potential(std::min(std::max(r, from * (1 + 1e-15)), to));
  }
  return sum * (to - from) / (3.0 * steps) / (0.5 * (to * to - from * from));
}

}  // namespace polepitch::test
