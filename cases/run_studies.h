// The studies of a case on one mesh, and once more on the coarser one before it: a share of the difference is the
// error that stands beside each number.
#pragma once

#include <vector>

#include "cases/adaption.h"
#include "cases/progress.h"
#include "cases/study.h"
#include "geometry/error.h"

namespace polepitch {

struct SolvedStudies {
  std::vector<StudyResult> studies;  // in file order, the failed ones left out
  std::vector<Diagnostic> failed;
};

/// Names studies by type, numbered from the second of a type on: "reactances", "reactances-2".
std::vector<std::string> study_names(const Case& kase);

/// Throws InputError with every fault between a study and the machine, before anything is meshed.
void check_studies(const Case& kase, const Section& section);

/// A study that does not converge is put in `failed` and the others go on; all failed: throws the first one's error.
/// In `directory`, where one is given, long studies leave checkpoints and growing curves.
/// `keeps` takes the fields of the sweeps; `forerun` has such fields of a coarser mesh to start from.
SolvedStudies run_studies(const Case& kase, const Section& section, const Mesh& mesh, int jobs, Progress& progress,
                          Forerun* keeps = nullptr, const Forerun* forerun = nullptr,
                          const std::string& directory = {});

/// Sets `error` of every quantity, curve and flux density row that `coarser` has too; `coarser` is the same case's.
/// Means take the root of the mean square over their positions, curves over their points: a single difference can be
/// small by luck. Beside it stands half the relative error of the linkages, times the value.
void attach_errors(SolvedStudies& solved, const SolvedStudies& coarser, const CaseMeshes& meshes);

/// Runs the studies on the coarser mesh, then from its fields on the final one, and attaches the errors.
SolvedStudies solve_on_both_meshes(const Case& kase, const Section& section, const CaseMeshes& meshes, int jobs,
                                   Progress& progress, const std::string& directory = {});

}  // namespace polepitch
