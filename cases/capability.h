// The capability of a machine with field winding at one terminal voltage: the reactive powers that armature current,
// field current and the margin to pull-out allow at each active power. Powers of the operation's reference (out of a
// generator), reactive power positive over-excited.
#pragma once

#include "cases/operating_chart.h"
#include "post/construction.h"

namespace polepitch {

struct CapabilityRequest {
  ChartRequest chart;
  double largest_power = 0;  // W, of prime mover or load
  double margin = 0;         // of rated apparent power: active power kept back from pull-out
  int points = 0;            // of each limit
};

/// One limit: reactive power over active power, ascending.
struct CapabilityLimit {
  std::vector<double> power, reactive, field_current;
  bool empty() const { return power.empty(); }
  /// Linear between the points; held at the first point below it. None beyond the last.
  std::optional<double> at(double active) const;
};

struct Capability {
  double field_limit = 0;           // A: the largest allowed, or that of the rated load point
  double armature = 0;              // VA
  CapabilityLimit field;            // at field_limit, stable part
  CapabilityLimit least_field;      // without field current, stable part
  CapabilityLimit pull_out;         // pull-out points, one a field current
  CapabilityLimit stable;           // at the same field currents, the margin below pull-out
  std::vector<double> power;        // 0 … largest power that all limits allow
  std::vector<double> most, least;  // var, allowed at `power`
};

/// Throws ConvergenceError where the rated load point is not found.
Capability capability(SteadyState& state, const CapabilityRequest& request,
                      const std::function<void(double)>& progress);

Construction capability_chart(const Capability& capability, const CapabilityRequest& request);

}  // namespace polepitch
