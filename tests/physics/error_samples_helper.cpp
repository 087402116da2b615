#include "error_samples_helper.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "cases/adaption.h"
#include "cases/run_studies.h"
#include "post/dq.h"

namespace polepitch::test {
namespace {

std::vector<Mesh> mesh_sequence(const Case& kase, const Section& section, const std::string& adapted_to,
                                double most_triangles) {
  std::vector<Mesh> meshes;
  AdaptRequest request;
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types())
      if (type.name == study.type && study.type == adapted_to)
        request.states.push_back(type.states(kase, section, study).front());
  request.torque_scale = per_unit_base(kase.machine).torque;
  request.accuracy = 1e-9;
  request.most_triangles_per_pole = static_cast<int>(most_triangles);
  request.start_density = 0.21;
  request.growth = 1.05;  // small steps: many meshes
  request.visit = [&](const Mesh& mesh) { meshes.push_back(mesh); };
  adapt_mesh(section, kase.materials, solver_options(kase), request);
  return meshes;
}

std::vector<double> values_of(const Quantity& q) {
  return q.samples.empty() ? std::vector<double>{q.value} : q.samples;
}

/// One position of a mean has at most the error that stands beside the mean: it is the root of their mean square.
void compare(const SolvedStudies& solved, const SolvedStudies& truth, Samples& samples) {
  for (size_t s = 0; s < solved.studies.size(); ++s)
    for (const Quantity& q : solved.studies[s].results.quantities)
      for (const Quantity& t : truth.studies[s].results.quantities) {
        if (q.name != t.name || !q.error || *q.error <= 0) continue;
        const std::vector<double> here = values_of(q), there = values_of(t);
        for (size_t i = 0; i < here.size(); ++i) samples[q.name].push_back(std::abs(here[i] - there[i]) / *q.error);
      }
}

/// The mesh that adapt_mesh would keep beside meshes[k] to measure its errors; the first one is outside the sequence's
/// rate.
size_t beside(const std::vector<Mesh>& meshes, size_t k) {
  for (size_t j = k; j-- > 1;)
    if (static_cast<double>(meshes[j].triangles.size()) <= 0.62 * static_cast<double>(meshes[k].triangles.size()))
      return j;
  return k - 1;
}

double median(std::vector<double> v) {
  std::sort(v.begin(), v.end());
  return v[v.size() / 2];
}

}  // namespace

void sample_case(const Case& kase, const std::string& adapted_to, double most_triangles, Samples& samples) {
  const Section section = draw_section(kase.machine);
  const std::vector<Mesh> meshes = mesh_sequence(kase, section, adapted_to, most_triangles);
  ASSERT_GE(meshes.size(), 5u);
  Progress quiet(false);
  std::vector<SolvedStudies> solved;
  for (const Mesh& mesh : meshes) solved.push_back(run_studies(kase, section, mesh, 2, quiet));
  AdaptRequest at_states;
  for (const Block& study : kase.studies)
    if (study.type == adapted_to) {
      for (const StudyType& type : study_types())
        if (type.name == study.type) at_states.states = type.states(kase, section, study);
      break;
    }
  // The last but one is left out: the finest mesh is not far finer than it.
  for (size_t k = 2; k + 2 < meshes.size(); ++k) {
    const size_t j = beside(meshes, k);
    CaseMeshes pair{meshes[k], meshes[j], error_factor(meshes[k], meshes[j], kAdaptedRate), 0};
    pair.relative_error = compare_meshes(section, kase.materials, solver_options(kase), at_states, meshes[k], meshes[j],
                                         pair.error_factor)
                              .linkage_error;
    SolvedStudies judged = solved[k];
    attach_errors(judged, solved[j], pair);
    compare(judged, solved.back(), samples);
  }
}

void judge(const Samples& samples, const std::vector<std::string>& watched, const std::vector<std::string>& cautious) {
  const auto listed = [](const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  for (const auto& [name, ratios] : samples) {
    const auto within = std::count_if(ratios.begin(), ratios.end(), [](double r) { return r <= 2; });
    const double share = static_cast<double>(within) / static_cast<double>(ratios.size());
    fmt::print("{:24} {:4} samples  median {:5.2f}  within 2 x {:5.1f} %\n", name, ratios.size(), median(ratios),
               100 * share);
    const bool tight = listed(watched, name);
    if (!tight && !listed(cautious, name)) continue;
    EXPECT_GE(ratios.size(), 20u) << name;
    EXPECT_GE(share, 0.95) << name;
    EXPECT_GE(median(ratios), tight ? 0.3 : 0) << name;
    EXPECT_LE(median(ratios), 1.5) << name;
  }
  for (const auto* names : {&watched, &cautious})
    for (const std::string& name : *names) EXPECT_TRUE(samples.count(name)) << name << " was not sampled";
}

}  // namespace polepitch::test
