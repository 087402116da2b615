#include "post/torque.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace polepitch {

double TorqueRecord::cross_check() const {
  return std::max(std::abs(virtual_work_stator - annulus), std::abs(virtual_work_rotor - annulus));
}

TorqueRecord torque_record(const StaticField& field, const StaticSolution& solution, const Excitation& excitation) {
  const Section& section = field.section();
  TorqueRecord record;
  record.annulus = field.torque(solution);
  record.virtual_work_stator = field.torque_virtual_work(solution, Side::stator);
  record.virtual_work_rotor = field.torque_virtual_work(solution, Side::rotor);
  record.arkkio_stator = field.torque_arkkio(solution, Side::stator);
  record.arkkio_rotor = field.torque_arkkio(solution, Side::rotor);
  if (phase_count(section) > 0) {
    std::vector<double> currents = excitation.currents;
    currents.resize(section.branches.size(), 0.0);
    const Dq current = phases_to_dq(section, currents, solution.rotor_angle);
    const Dq linkage = phases_to_dq(section, field.linkages(solution), solution.rotor_angle);
    record.from_linkages = dq_torque(linkage, current, phase_count(section), section.pole_pairs);
  }
  return record;
}

MeanAndRipple mean_and_ripple(const std::vector<double>& values) {
  if (values.empty()) return {};
  const auto [lowest, highest] = std::minmax_element(values.begin(), values.end());
  const double sum = std::accumulate(values.begin(), values.end(), 0.0);
  return {sum / static_cast<double>(values.size()), *highest - *lowest};
}

CurvePeak curve_peak(const std::vector<double>& x, const std::vector<double>& y) {
  if (y.empty()) return {};
  const std::size_t k = static_cast<std::size_t>(std::max_element(y.begin(), y.end()) - y.begin());
  const CurvePeak sample{x[k], y[k]};
  if (k == 0 || k + 1 == y.size()) return sample;
  const double left = x[k] - x[k - 1], right = x[k + 1] - x[k];
  const double rise = (y[k] - y[k - 1]) / left, fall = (y[k + 1] - y[k]) / right;
  const double curvature = (fall - rise) / (left + right);
  if (curvature >= 0) return sample;                                   // three equal samples
  const double slope = (rise * right + fall * left) / (left + right);  // of the parabola at x[k]
  const double step = -slope / (2 * curvature);
  return {x[k] + step, y[k] + 0.5 * slope * step};
}

}  // namespace polepitch
