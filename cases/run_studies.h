// The studies of a case on one mesh, and once more on a coarser one: the difference is the error that stands beside
// each number.
#pragma once

#include <vector>

#include "cases/progress.h"
#include "cases/study.h"
#include "geometry/error.h"

namespace polepitch {

/// Edges per length of the coarser mesh over those of the case's: half, so that the difference bounds the error of
/// anything that converges at first order or better.
inline constexpr double kCoarserMesh = 0.5;

struct SolvedStudies {
  std::vector<StudyResult> studies;  // in file order, the failed ones left out
  std::vector<Diagnostic> failed;
};

/// Names studies by type, numbered from the second of a type on: "reactances", "reactances-2".
std::vector<std::string> study_names(const Case& kase);

/// Throws InputError with every fault between a study and the machine, before anything is meshed.
void check_studies(const Case& kase, const Section& section);

/// A study that does not converge is put in `failed` and the others go on; all failed: throws the first one's error.
SolvedStudies run_studies(const Case& kase, const Section& section, const Mesh& mesh, int jobs, Progress& progress);

/// Sets `error` of every quantity and flux density row that `coarse` has too; `coarse` is the same case's.
void attach_errors(SolvedStudies& fine, const SolvedStudies& coarse);

}  // namespace polepitch
