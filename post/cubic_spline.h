// Interpolating cubic splines of one variable with not-a-knot ends (C. de Boor, A Practical Guide to Splines, 1978;
// memory): a cubic polynomial is met everywhere, the error of a smooth function falls with the fourth power of the
// step.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

namespace polepitch {

/// Slopes at the knots `x` (ascending) of the spline through `y`: the parabola through three points, the straight line
/// through two, 0 for one.
std::vector<double> spline_slopes(std::span<const double> x, std::span<const double> y);

/// Shares of a spline's value and derivative at one place: value = Σ_k value[k] y[at[k]] + slope[k] s[at[k]], s the
/// slopes at the knots; the derivative likewise. Straight on past both ends.
struct SplineShares {
  std::array<size_t, 2> at{};
  std::array<double, 2> value{}, slope{};    // of the value
  std::array<double, 2> dvalue{}, dslope{};  // of the derivative
};
SplineShares spline_shares(std::span<const double> x, double where);

/// z over a tensor grid of x and y (x running fastest), a spline along each; straight on past the ends.
class SplineSurface {
 public:
  SplineSurface() = default;
  /// Throws std::logic_error where the lists do not go together.
  SplineSurface(std::vector<double> x, std::vector<double> y, std::vector<double> z);
  double at(double x, double y) const;

 private:
  std::vector<double> x_, y_;
  std::array<std::vector<double>, 4> tables_;  // z and its derivatives with x (bit 0) and y (bit 1)
};

}  // namespace polepitch
