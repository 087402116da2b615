#include "post/tones.h"

#include <Eigen/Dense>
#include <cmath>
#include <numbers>

namespace polepitch {

using Complex = std::complex<double>;

Complex space_vector(const std::vector<double>& phases, const std::vector<double>& axes) {
  Complex sum = 0;
  for (std::size_t k = 0; k < axes.size(); ++k) sum += phases[k] * std::polar(1.0, axes[k]);
  return 2.0 / static_cast<double>(axes.size()) * sum;
}

std::vector<Complex> fit_tones(const std::vector<double>& times, const std::vector<Complex>& values,
                               const std::vector<double>& omegas) {
  const auto rows = static_cast<Eigen::Index>(times.size()), columns = static_cast<Eigen::Index>(omegas.size());
  Eigen::MatrixXcd waves(rows, columns);
  Eigen::VectorXcd right(rows);
  for (Eigen::Index i = 0; i < rows; ++i) {
    right[i] = values[static_cast<std::size_t>(i)];
    for (Eigen::Index k = 0; k < columns; ++k)
      waves(i, k) = std::polar(1.0, omegas[static_cast<std::size_t>(k)] * times[static_cast<std::size_t>(i)]);
  }
  const Eigen::VectorXcd c = waves.colPivHouseholderQr().solve(right);
  return {c.data(), c.data() + c.size()};
}

std::vector<double> hann_spectrum(const std::vector<double>& values, int largest) {
  const auto n = static_cast<double>(values.size());
  std::vector<double> amplitudes;
  double mean = 0;
  for (double v : values) mean += v / n;
  for (int order = 0; order <= largest; ++order) {
    Complex sum = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
      const double angle = 2 * std::numbers::pi * static_cast<double>(i) / n;
      sum += (values[i] - mean) * (1 - std::cos(angle)) * std::polar(1.0, -order * angle);
    }
    amplitudes.push_back(order == 0 ? std::abs(mean) : 2 / n * std::abs(sum));
  }
  return amplitudes;
}

}  // namespace polepitch
