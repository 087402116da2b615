// The mesh of a case: adapted to the states of its studies until the case's accuracy is met.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cases/case.h"
#include "post/results.h"
#include "solver/adapt_mesh.h"
#include "solver/mesh_mover.h"

namespace polepitch {

SolverOptions solver_options(const Case& kase);

/// The mesh as the case states it, before any field: what `check` shows.
Mesh first_mesh(const Case& kase, const Section& section);

struct CaseMeshes {
  Mesh mesh;                  // the studies run on it
  Mesh coarser;               // and once more on this one: errors come from the difference
  double error_factor = 0;    // from difference to error (solver/adapt_mesh.h)
  double relative_error = 0;  // of the linkages, estimated: no quantity is credited with much less
  double gap_torque = 0;      // N m, AdaptStep::gap_torque
};

/// Adds what was done (quantities) and a warning where the accuracy is not met to `results`. `visit` is called once a
/// mesh and may throw.
CaseMeshes adapted_meshes(const Case& kase, const Section& section, Results& results,
                          const std::function<void(const Mesh&)>& visit = {});

/// The meshes of one case, for others of the same topology.
struct FormerMeshes {
  MeshMover mesh, coarser;
  std::vector<StaticSolution> states;  // on the coarser mesh
  double error = 0;                    // the largest estimated one, as a share of mesh.accuracy's kind
};

FormerMeshes former_meshes(const Case& kase, const Section& section, const CaseMeshes& meshes);

/// Those meshes with their nodes moved to this section. Nothing where they do not fit (solver/mesh_mover.h) or where
/// their estimated error is more than twice the case's accuracy, and half more than it was: then it takes its own.
std::optional<CaseMeshes> moved_meshes(const Case& kase, const Section& section, FormerMeshes& former,
                                       Results& results);

}  // namespace polepitch
