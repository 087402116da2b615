#include "cases/forerun.h"

namespace polepitch {

void Forerun::keep(const std::string& sweep, size_t index, const Excitation& excitation,
                   const StaticSolution& solution) {
  if (index >= kMostPoints) return;
  const std::lock_guard<std::mutex> lock(mutex_);
  points_[{sweep, index}] = {excitation, solution};
}

std::optional<StaticSolution> Forerun::start(const std::string& sweep, size_t index,
                                             const Excitation& excitation) const {
  const auto it = points_.find({sweep, index});
  if (it == points_.end()) return std::nullopt;
  const Excitation& former = it->second.excitation;
  if (former.currents != excitation.currents || former.rotor_angle != excitation.rotor_angle ||
      former.magnets != excitation.magnets)
    return std::nullopt;
  StaticSolution start;
  start.rotor_angle = excitation.rotor_angle;
  start.a = carry_(it->second.solution.a);
  return start;
}

}  // namespace polepitch
