// When is a Newton iteration done with what is asked of it: the change of torque and linkages from step to step, and
// what is left of it.
#pragma once

#include <vector>

#include "solver/field_system.h"

namespace polepitch {

class Settling {
 public:
  Settling(const FieldSystem& system, double rotor_angle);
  /// After a step to x that brought the residual to `contraction` times the one before: is what is left estimated below
  /// options.stop_change? If every later step contracted alike, the changes to come would add to
  /// contraction/(1 − contraction) times the last one; Newton's later steps contract more.
  bool settled(const std::vector<double>& x, double contraction);

 private:
  void watch(const std::vector<double>& x, std::vector<double>& values) const;
  const FieldSystem& system_;
  double rotor_angle_;
  std::vector<double> last_, now_;  // torque [N m], then each branch's linkage of one sector [Wb turns/m]
};

}  // namespace polepitch
