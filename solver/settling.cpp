#include "solver/settling.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace polepitch {

Settling::Settling(const FieldSystem& system, double rotor_angle) : system_(system), rotor_angle_(rotor_angle) {}

void Settling::watch(const std::vector<double>& x, std::vector<double>& values) const {
  values.clear();
  values.push_back(system_.annulus->field(x, rotor_angle_).torque_per_length() * system_.section.length);
  for (const SparseVector& branch : system_.branch) values.push_back(branch.dot(x));
}

bool Settling::settled(const std::vector<double>& x, double contraction) {
  const double wanted = system_.options.stop_change;
  if (wanted <= 0) return false;
  last_.swap(now_);
  watch(x, now_);
  if (last_.empty() || !(contraction < 0.5)) return false;
  const double to_come = contraction / (1 - contraction);
  const double torque = system_.options.torque_scale > 0 ? system_.options.torque_scale : std::abs(now_[0]);
  if (to_come * std::abs(now_[0] - last_[0]) > wanted * torque) return false;
  const auto& branches = system_.section.branches;
  std::map<BranchKind, double> largest;
  for (size_t b = 0; b < branches.size(); ++b) {
    double& scale = largest[branches[b].kind];
    scale = std::max(scale, std::abs(now_[b + 1]));
  }
  for (size_t b = 0; b < branches.size(); ++b)
    if (to_come * std::abs(now_[b + 1] - last_[b + 1]) > wanted * largest[branches[b].kind]) return false;
  return true;
}

}  // namespace polepitch
