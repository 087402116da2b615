// A curve through points that rises with them: PCHIP, slopes by the weighted harmonic mean of neighbouring secants
// (F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5(2), 1984), which makes no wiggle between the points.
#pragma once

#include <vector>

namespace polepitch {

class MonotoneCurve {
 public:
  MonotoneCurve() = default;
  /// `x` rising strictly, as many `y`, two points or more. Throws std::logic_error otherwise.
  MonotoneCurve(std::vector<double> x, std::vector<double> y);

  const std::vector<double>& x() const { return x_; }
  const std::vector<double>& y() const { return y_; }
  /// Straight on past both ends.
  double at(double x) const;
  /// x of a rising curve at which it has the value y, between its ends. Throws std::logic_error outside.
  double where(double y) const;
  /// The curve with one more point; a point nearer than 1e-9 of the span to an old one takes its place.
  MonotoneCurve with(double x, double y) const;

 private:
  std::vector<double> x_, y_, slope_;
};

}  // namespace polepitch
