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

}  // namespace polepitch
