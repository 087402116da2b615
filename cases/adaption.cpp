#include "cases/adaption.h"

#include <fmt/format.h>

#include <algorithm>

#include "cases/study.h"
#include "geometry/mesh_limits.h"
#include "post/quantity_list.h"

namespace polepitch {
namespace {

// Of the case's density: the first mesh of the sequence is coarse, since each next one is twice as large.
constexpr double kStart = 0.35;
// Fields of a dozen states cost as much as a short sweep and show every part of the machine loaded.
constexpr size_t kMostStates = 12;
constexpr size_t kMovedStates = 4;  // enough to see whether a moved mesh still serves: each has torque and linkages

std::vector<Excitation> states_of(const Case& kase, const Section& section, size_t most) {
  std::vector<Excitation> all;
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types())
      if (type.name == study.type)
        for (const Excitation& state : type.states(kase, section, study)) all.push_back(state);
  std::vector<Excitation> kept;
  const size_t count = std::min(all.size(), most);
  for (size_t k = 0; k < count; ++k) kept.push_back(all[k * all.size() / count]);
  return kept;
}

/// Numbers of fields that are not static come to five times the accuracy: at high frequencies they are a tenth of what
/// they are at rest, and lie in thin skins.
constexpr double kBesideShare = 0.2;

/// Calls every study's own; none where no study has one.
std::function<std::vector<double>(const Mesh&, std::vector<double>&)> beside_of(const Case& kase,
                                                                                const Section& section) {
  std::vector<std::pair<const Block*, const StudyType*>> asked;
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types())
      if (type.name == study.type && type.beside) asked.emplace_back(&study, &type);
  if (asked.empty()) return {};
  return [&kase, &section, asked](const Mesh& mesh, std::vector<double>& share) {
    std::vector<double> all;
    for (const auto& [study, type] : asked)
      for (double number : type->beside(kase, section, *study, mesh, share)) all.push_back(kBesideShare * number);
    return all;
  };
}

/// The smallest of every study's own limits in each region; empty where no study has one.
std::vector<double> largest_edges_of(const Case& kase, const Section& section) {
  std::vector<double> largest;
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types()) {
      if (type.name != study.type || !type.largest_edges) continue;
      const std::vector<double> own = type.largest_edges(kase, section, study);
      if (largest.empty()) largest.resize(own.size(), 0.0);
      for (size_t r = 0; r < own.size(); ++r)
        if (own[r] > 0) largest[r] = largest[r] > 0 ? std::min(largest[r], own[r]) : own[r];
    }
  return largest;
}

double rated_torque(const Case& kase) {
  if (!kase.machine.rating.present) return 0;
  return per_unit_base(kase.machine).torque;
}

void add(Results& results, const char* name, double value, bool key) {
  Quantity q = quantity(name, value, "mesh");
  q.study = "mesh";
  q.exact = true;
  q.key_result = key;
  results.quantities.push_back(std::move(q));
}

void report(const AdaptStep& last, size_t meshes, Results& results) {
  add(results, "meshes_solved", static_cast<double>(meshes), false);
  add(results, "torque_error", last.torque_error, false);
  add(results, "linkage_error", last.linkage_error, false);
  if (last.beside_error > 0) add(results, "response_error", last.beside_error / kBesideShare, false);
}

/// Eddy currents and steps in time have fields of second order: where a study has them, the mesh is made for those.
SolverOptions adaption_options(const Case& kase, const Section& section) {
  SolverOptions options = solver_options(kase);
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types())
      if (type.name == study.type &&
          (type.stepped || type.beside || (type.largest_edges && !type.largest_edges(kase, section, study).empty())))
        options.third_order = false;
  return options;
}

/// The case's own mesh, with a coarser one to measure errors.
CaseMeshes fixed_meshes(const Case& kase, const Section& section, const AdaptRequest& request, Results& results) {
  constexpr double kCoarser = 0.7;
  const double density = kase.machine.mesh.values.number("density");
  CaseMeshes meshes{limit_edges(section, mesh_section(section, {density}), request.largest_edges),
                    mesh_section(section, {kCoarser * density}), 0, 0};
  meshes.error_factor = error_factor(meshes.mesh, meshes.coarser, kBuiltInRate);
  const AdaptStep step = compare_meshes(section, kase.materials, adaption_options(kase, section), request, meshes.mesh,
                                        meshes.coarser, meshes.error_factor);
  meshes.relative_error = step.linkage_error;
  meshes.gap_torque = step.gap_torque;
  report(step, 2, results);
  return meshes;
}

AdaptRequest request_of(const Case& kase, const Section& section, size_t states) {
  const Values& v = kase.machine.mesh.values;
  AdaptRequest request;
  request.states = states_of(kase, section, states);
  request.torque_scale = rated_torque(kase);
  request.accuracy = v.number("accuracy");
  request.largest_edges = largest_edges_of(kase, section);
  request.most_triangles_per_pole = v.number("most_elements");
  request.beside = beside_of(kase, section);
  return request;
}

double largest_error(const AdaptStep& step) {
  return std::max({step.torque_error, step.linkage_error, step.beside_error});
}

double rate_of(const Case& kase) {
  return kase.machine.mesh.values.flag("adaptive") ? kAdaptedRate : kBuiltInRate;
}

}  // namespace

SolverOptions solver_options(const Case& kase) {
  SolverOptions options;
  options.tolerance = 1e-5;  // torque to 1e-7: far below the error of the mesh
  options.temperature = kase.machine.general.values.number("magnet_temperature");
  if (kase.machine.mesh.values.text("iteration") == "short") options.stop_change = 1e-5;
  options.third_order = kase.machine.mesh.values.text("element_order") == "third";
  if (kase.compared) {
    // What third order's everyday steps leave differs from one variation to the next by 1e-6 of a linkage and more.
    options.third_order_start = 1e-3;
    options.third_order_residual = 0.003;
  }
  if (kase.machine.rating.present) options.torque_scale = per_unit_base(kase.machine).torque;
  return options;
}

Mesh first_mesh(const Case& kase, const Section& section) {
  return mesh_section(section, {kase.machine.mesh.values.number("density")});
}

CaseMeshes adapted_meshes(const Case& kase, const Section& section, Results& results,
                          const std::function<void(const Mesh&)>& visit) {
  const Values& v = kase.machine.mesh.values;
  AdaptRequest request = request_of(kase, section, kMostStates);
  request.visit = visit;
  if (!v.flag("adaptive")) return fixed_meshes(kase, section, request, results);
  request.start_density = kStart * v.number("density");
  AdaptedMeshes adapted = adapt_mesh(section, kase.materials, adaption_options(kase, section), request);
  const AdaptStep& last = adapted.steps.back();
  report(last, adapted.steps.size(), results);
  if (!adapted.reached) {
    const double field = std::max(last.torque_error, last.linkage_error);
    results.warnings.push_back(fmt::format(
        "the mesh stopped at {:.0f} elements a pole: the next one would pass mesh.most_elements. {} known to "
        "{:.1e} there, not to {:g}",
        last.triangles_per_pole, field >= last.beside_error ? "Torque or linkages are" : "The response at rest is",
        field >= last.beside_error ? field : last.beside_error / kBesideShare,
        field >= last.beside_error ? request.accuracy : request.accuracy / kBesideShare));
  }
  const double factor = error_factor(adapted.mesh, adapted.coarser, kAdaptedRate);
  return {std::move(adapted.mesh), std::move(adapted.coarser), factor, last.linkage_error, last.gap_torque};
}

FormerMeshes former_meshes(const Case& kase, const Section& section, const CaseMeshes& meshes) {
  FormerMeshes former{MeshMover(section, meshes.mesh), MeshMover(section, meshes.coarser), {}, 0};
  const double factor = error_factor(meshes.mesh, meshes.coarser, rate_of(kase));
  former.error = largest_error(compare_meshes(section, kase.materials, adaption_options(kase, section),
                                              request_of(kase, section, kMovedStates), meshes.mesh, meshes.coarser,
                                              factor, &former.states));
  return former;
}

std::optional<CaseMeshes> moved_meshes(const Case& kase, const Section& section, FormerMeshes& former,
                                       Results& results) {
  constexpr double kOverAccuracy = 2, kOverFormer = 1.5;
  std::optional<Mesh> mesh = former.mesh.moved(section), coarser = mesh ? former.coarser.moved(section) : std::nullopt;
  const AdaptRequest request = request_of(kase, section, kMovedStates);
  if (!coarser || !keeps_limits(*mesh, request.largest_edges)) return std::nullopt;
  CaseMeshes meshes{std::move(*mesh), std::move(*coarser), 0, 0};
  meshes.error_factor = error_factor(meshes.mesh, meshes.coarser, rate_of(kase));
  std::vector<StaticSolution> states = former.states;
  AdaptStep step;
  try {
    step = compare_meshes(section, kase.materials, adaption_options(kase, section), request, meshes.mesh,
                          meshes.coarser, meshes.error_factor, &states);
  } catch (const ConvergenceError&) {
    return std::nullopt;
  }
  if (kase.machine.mesh.values.flag("adaptive") &&
      largest_error(step) > std::max(kOverAccuracy * request.accuracy, kOverFormer * former.error))
    return std::nullopt;
  meshes.relative_error = step.linkage_error;
  meshes.gap_torque = step.gap_torque;
  report(step, 2, results);
  return meshes;
}

}  // namespace polepitch
