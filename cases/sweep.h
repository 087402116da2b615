// Many operating points on one mesh: solved in chains that follow from their number alone, each point started from the
// coarser mesh's field where there is one (cases/forerun.h), else from the one before it in its chain, so that results
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

/// Chains of a sweep: a number of the points alone, even (so that two workers share them evenly), of 20 points or fewer
/// each. Every chain starts from no field of its own accord: nobody waits for a first point.
size_t chain_count(size_t points);
size_t chain_of(size_t index, size_t points);  // equal shares, in order
size_t begin_of_chain(size_t index, size_t points);

/// Calls `point(worker, index, first of its chain)` for every index, each chain in order by one of `workers` threads.
/// Progress, interruption and what is thrown: as in `sweep`.
void run_in_chains(StudyContext& context, size_t points, int workers,
                   const std::function<void(int worker, size_t index, bool first)>& point, double from, double to);

/// Calls `visit` once a point, from several threads at once but for different points. `from` and `to` are the share of
/// the study's progress that the sweep covers. Throws what a point or `visit` threw (of the lowest index).
void sweep(StudyContext& context, const std::vector<Excitation>& points,
           const std::function<void(const SolvedPoint&)>& visit, double from = 0, double to = 1);

}  // namespace polepitch
