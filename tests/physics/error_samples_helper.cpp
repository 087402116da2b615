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
                                double most_triangles, double growth, double start = 0.21) {
  std::vector<Mesh> meshes;
  AdaptRequest request;
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types())
      if (type.name == study.type && study.type == adapted_to)
        request.states.push_back(type.states(kase, section, study).front());
  request.torque_scale = per_unit_base(kase.machine).torque;
  request.accuracy = 1e-9;
  request.most_triangles_per_pole = static_cast<int>(most_triangles);
  request.start_density = start;
  request.growth = growth;  // the steps are up to 1.4 times as large
  request.visit = [&](const Mesh& mesh) { meshes.push_back(mesh); };
  adapt_mesh(section, kase.materials, solver_options(kase), request);
  return meshes;
}

std::vector<double> values_of(const Quantity& q) {
  return q.samples.empty() ? std::vector<double>{q.value} : q.samples;
}

/// The same quantity in the truth: both lists are in the order of their studies, and an operating point that was
/// searched for has another text on every mesh.
const Quantity* same(const std::vector<Quantity>& quantities, size_t index, const std::vector<Quantity>& truth) {
  const std::string& name = quantities[index].name;
  auto before = std::count_if(quantities.begin(), quantities.begin() + static_cast<std::ptrdiff_t>(index),
                              [&](const Quantity& q) { return q.name == name; });
  for (const Quantity& t : truth)
    if (t.name == name && before-- == 0) return &t;
  return nullptr;
}

/// One position of a mean has at most the error that stands beside the mean: it is the root of their mean square.
void compare(const Results& solved, const Results& truth, Samples& samples) {
  for (size_t k = 0; k < solved.quantities.size(); ++k) {
    const Quantity& q = solved.quantities[k];
    const Quantity* t = same(solved.quantities, k, truth.quantities);
    if (!t || !q.error || *q.error <= 0) continue;
    const std::vector<double> here = values_of(q), there = values_of(*t);
    for (size_t i = 0; i < here.size(); ++i) samples[q.name].push_back(std::abs(here[i] - there[i]) / *q.error);
  }
}

void compare(const SolvedStudies& solved, const SolvedStudies& truth, Samples& samples) {
  for (size_t s = 0; s < solved.studies.size(); ++s)
    compare(solved.studies[s].results, truth.studies[s].results, samples);
}

/// "flux-map" of "flux-map-2".
std::string type_of(const std::string& study) {
  for (const StudyType& type : study_types())
    if (study == type.name || study.starts_with(type.name + "-2") || study.starts_with(type.name + "-3"))
      return type.name;
  return study;
}

void compare_curves(const SolvedStudies& solved, const SolvedStudies& truth, Samples& samples) {
  for (size_t s = 0; s < solved.studies.size(); ++s)
    for (size_t c = 0; c < solved.studies[s].results.curves.size(); ++c) {
      const ResultCurve &curve = solved.studies[s].results.curves[c], &there = truth.studies[s].results.curves[c];
      for (size_t k = 1; k < curve.columns.size(); ++k) {
        const Column &column = curve.columns[k], &fine = there.columns[k];
        if (!column.error || *column.error <= 0 || column.values.size() != fine.values.size()) continue;
        for (size_t i = 0; i < column.values.size(); ++i)
          samples[type_of(curve.study) + "." + curve.name + "." + column.name].push_back(
              std::abs(column.values[i] - fine.values[i]) / *column.error);
      }
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

namespace {

/// What a user gets whose mesh is meshes[k].
SolvedStudies judged(const Case& kase, const Section& section, const AdaptRequest& at_states,
                     const std::vector<Mesh>& meshes, const std::vector<SolvedStudies>& solved, size_t k) {
  const size_t j = beside(meshes, k);
  CaseMeshes pair{meshes[k], meshes[j], error_factor(meshes[k], meshes[j], kAdaptedRate)};
  const AdaptStep step =
      compare_meshes(section, kase.materials, solver_options(kase), at_states, meshes[k], meshes[j], pair.error_factor);
  pair.relative_error = step.linkage_error;
  pair.gap_torque = step.gap_torque;
  SolvedStudies result = solved[k];
  attach_errors(result, solved[j], pair);
  return result;
}

AdaptRequest states_of_first(const Case& kase, const Section& section, const std::string& adapted_to) {
  AdaptRequest request;
  for (const Block& study : kase.studies)
    for (const StudyType& type : study_types())
      if (type.name == adapted_to && study.type == adapted_to) {
        request.states = type.states(kase, section, study);
        return request;
      }
  return request;
}

}  // namespace

void sample_case(const Case& kase, const std::string& adapted_to, double most_triangles, Samples& samples) {
  const Section section = draw_section(kase.machine);
  const std::vector<Mesh> meshes = mesh_sequence(kase, section, adapted_to, most_triangles, 1.05);
  ASSERT_GE(meshes.size(), 5u);
  Progress quiet(false);
  std::vector<SolvedStudies> solved;
  for (const Mesh& mesh : meshes) solved.push_back(run_studies(kase, section, mesh, 2, quiet));
  const AdaptRequest at_states = states_of_first(kase, section, adapted_to);
  // The last but one is left out: the finest mesh is not far finer than it.
  for (size_t k = 2; k + 2 < meshes.size(); ++k)
    compare(judged(kase, section, at_states, meshes, solved, k), solved.back(), samples);
}

void sample_coarse(const Case& kase, const std::string& adapted_to, double most_triangles, size_t sequences,
                   Samples& samples) {
  const Section section = draw_section(kase.machine);
  const Mesh finest = mesh_sequence(kase, section, adapted_to, most_triangles, 1.05).back();
  Progress quiet(false);
  const SolvedStudies truth = run_studies(kase, section, finest, 2, quiet);
  ASSERT_TRUE(truth.failed.empty());
  const AdaptRequest at_states = states_of_first(kase, section, adapted_to);
  const std::vector<double> starts = {0.21, 0.27, 0.2, 0.225, 0.24, 0.255, 0.3};
  for (size_t s = 0; s < sequences; ++s) {
    const std::vector<Mesh> meshes =
        mesh_sequence(kase, section, adapted_to, 0.42 * most_triangles, 1.05, starts.at(s));
    std::vector<SolvedStudies> solved(meshes.size());
    for (size_t k = 2; k < meshes.size(); ++k) {
      for (const size_t needed : {beside(meshes, k), k})
        if (solved[needed].studies.empty()) solved[needed] = run_studies(kase, section, meshes[needed], 2, quiet);
      const SolvedStudies here = judged(kase, section, at_states, meshes, solved, k);
      fmt::print("{} triangles, beside {}, truth {}\n", meshes[k].triangles.size(),
                 meshes[beside(meshes, k)].triangles.size(), finest.triangles.size());
      compare(here, truth, samples);
      compare_curves(here, truth, samples);
    }
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
