// A mesh for a purpose: solved at a few states, refined where the error of torque and linkages comes from, until their
// change from one mesh to the next is as small as asked.
#pragma once

#include <functional>
#include <vector>

#include "geometry/mesh.h"
#include "solver/static_field.h"

namespace polepitch {

struct AdaptRequest {
  std::vector<Excitation> states;  // a few rotor angles of every load that the mesh is to serve
  double accuracy = 5e-4;          // of torque over `torque_scale`, of each linkage over its largest value
  double torque_scale = 0;         // N m; 0: the largest torque of the states
  double start_density = 0.35;     // of the first mesh (MeshOptions)
  double most_triangles_per_pole = 20000;
  double growth = 1.5;  // triangles of a mesh over those of the one before, at least; thin parts force some more
  std::function<void(const Mesh&)> visit = {};  // told of every mesh of the sequence; may throw to stop it
  /// Other fields on a mesh than the states': adds their triangles' shares of the error (1 in all where the error is
  /// as large as the field), and gives numbers of order 1 that are known to `accuracy` in the end.
  std::function<std::vector<double>(const Mesh&, std::vector<double>& share)> beside = {};
  std::vector<double> largest_edges = {};  // m, by region (geometry/mesh_limits.h); empty: no limits
};

/// One mesh of the sequence and its estimated errors: what changed from a coarser mesh of the sequence, root of the
/// mean square over the states, times error_factor(). The first mesh has none.
struct AdaptStep {
  double triangles_per_pole = 0;
  double torque_error = 0, linkage_error = 0;  // over torque_scale; over the largest linkage
  double beside_error = 0;                     // of the request's other numbers
  double gap_torque =
      0;  // N m, largest over the states: radius times the pull of the gap field if all of it were tangential
};

struct AdaptedMeshes {
  Mesh mesh;                     // meets the accuracy
  Mesh coarser;                  // a former one of at most 0.62 times the triangles: errors are measured with it
  std::vector<AdaptStep> steps;  // the last describes `mesh`
  bool reached = false;          // false: stopped by the most triangles
};

/// From the difference between two meshes' results to the error of the finer one: errors of second-order elements on
/// adapted meshes fall with the square of the number of triangles N, on meshes of built-in sizes with N (corners); so
/// the difference is (ρ^rate − 1) times the error that is left, ρ = N/N_coarser. 1.2 covers what single meshes scatter.
double error_factor(const Mesh& mesh, const Mesh& coarser, double rate);
inline constexpr double kAdaptedRate = 2, kBuiltInRate = 1;

/// Indicator: energy of the recovered flux density's difference from the computed one (solver/flux_recovery.h), added
/// up over the states and, in the frozen iron of each, the fields of unit currents in both axes: reactances are these
/// fields' energies. Throws ConvergenceError, GeometryError.
AdaptedMeshes adapt_mesh(const Section& section, const Materials& materials, const SolverOptions& options,
                         const AdaptRequest& request);

/// Estimated errors of `mesh` at the states, by `coarser`: for meshes that were not adapted. The states begin from
/// `fields`, where it has as many (nodal values on the coarser mesh), and leave theirs there.
AdaptStep compare_meshes(const Section& section, const Materials& materials, const SolverOptions& options,
                         const AdaptRequest& request, const Mesh& mesh, const Mesh& coarser, double factor,
                         std::vector<StaticSolution>* fields = nullptr);

}  // namespace polepitch
