// Saturated fields of a machine with a cage at many slips: one solver a worker, chains as in cases/sweep.h. A chain
// begins with the coarser mesh's field where there is one; its later points are extrapolated from those before.
#pragma once

#include <memory>
#include <vector>

#include "cases/study.h"
#include "solver/cage_field.h"

namespace polepitch {

class CageRunner {
 public:
  CageRunner(StudyContext& context, const CageEnds& ends, const CageOptions& options = {});

  /// Fields in the order of the excitations; `from` and `to` are the share of the study's progress. Throws what a point
  /// threw.
  std::vector<CageSolution> solve(const std::vector<CageExcitation>& points, double from, double to);
  /// One more, started from a field near it (search).
  CageSolution solve(const CageExcitation& point, const CageSolution& near);

  const CageField& field() { return of(0); }

 private:
  CageField& of(int worker);
  StudyContext& context_;
  CageEnds ends_;
  CageOptions options_;
  std::vector<std::unique_ptr<CageField>> fields_;  // made when first asked for, by their own worker
};

}  // namespace polepitch
