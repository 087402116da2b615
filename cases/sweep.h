// Many operating points on one mesh: solved in chains of fixed length, each warm-started along itself, so that results
// are the same bit for bit with any number of workers.
#pragma once

#include <functional>
#include <vector>

#include "cases/study.h"

namespace polepitch {

struct SolvedPoint {
  size_t index;
  StaticField& field;  // the worker's own
  const Excitation& excitation;
  const StaticSolution& solution;
};

/// Points of one chain; the first is started from the field of point 0.
inline constexpr size_t kChainLength = 15;

/// Calls `visit` once a point, from several threads at once but for different points. `from` and `to` are the share of
/// the study's progress that the sweep covers. Throws what a point or `visit` threw (of the lowest index).
void sweep(StudyContext& context, const std::vector<Excitation>& points,
           const std::function<void(const SolvedPoint&)>& visit, double from = 0, double to = 1);

}  // namespace polepitch
