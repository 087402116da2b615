#include "error_samples_helper.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <optional>

#include "cases/adaption.h"
#include "cases/run_studies.h"
#include "post/dq.h"
#include "tests/cases/case_text_helper.h"

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

/// The same torque by formulas that converge more slowly than the gap's harmonics, whose finest value is nearer to the
/// truth than theirs. Their estimates hold the difference to it on the mesh at hand, which is most of their error: that
/// these hold says little more than that torque_mean's does.
bool is_other_torque(const std::string& name) {
  return name.starts_with("torque_arkkio") || name.starts_with("torque_virtual_work");
}

/// The same quantity in the truth: both lists are in the order of their studies, and an operating point that was
/// searched for has another text on every mesh.
const Quantity* same(const std::vector<Quantity>& quantities, size_t index, const std::vector<Quantity>& truth) {
  const std::string& name = quantities[index].name;
  auto before = std::count_if(quantities.begin(), quantities.begin() + static_cast<std::ptrdiff_t>(index),
                              [&](const Quantity& q) { return q.name == name; });
  const std::string there = is_other_torque(name) ? "torque_mean" : name;
  for (const Quantity& t : truth)
    if (t.name == there && before-- == 0) return &t;
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

double quantile(std::vector<double> v, double share) {
  std::sort(v.begin(), v.end());
  return v[static_cast<size_t>(share * static_cast<double>(v.size() - 1) + 0.5)];
}

double median(const std::vector<double>& v) {
  return quantile(v, 0.5);
}

}  // namespace

namespace {

CaseMeshes pair_of(const Case& kase, const Section& section, const AdaptRequest& at_states,
                   const std::vector<Mesh>& meshes, size_t k) {
  const size_t j = beside(meshes, k);
  CaseMeshes pair{meshes[k], meshes[j], error_factor(meshes[k], meshes[j], kAdaptedRate)};
  const AdaptStep step =
      compare_meshes(section, kase.materials, solver_options(kase), at_states, meshes[k], meshes[j], pair.error_factor);
  pair.relative_error = step.linkage_error;
  pair.gap_torque = step.gap_torque;
  return pair;
}

/// What a user gets whose mesh is meshes[k].
SolvedStudies judged(const Case& kase, const Section& section, const AdaptRequest& at_states,
                     const std::vector<Mesh>& meshes, const std::vector<SolvedStudies>& solved, size_t k) {
  SolvedStudies result = solved[k];
  attach_errors(result, solved[beside(meshes, k)], pair_of(kase, section, at_states, meshes, k));
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
  const AdaptRequest at_states = states_of_first(kase, section, adapted_to);
  Progress quiet(false);
  std::optional<SolvedStudies> truth;
  for (const double start : {0.21, 0.19}) {
    // The first sequence goes on to the truth; its last mesh but one is left out: the finest is not far finer than it.
    const std::vector<Mesh> meshes =
        mesh_sequence(kase, section, adapted_to, (truth ? 0.5 : 1) * most_triangles, 1.05, start);
    ASSERT_GE(meshes.size(), 5u);
    std::vector<SolvedStudies> solved;
    for (const Mesh& mesh : meshes) solved.push_back(run_studies(kase, section, mesh, 2, quiet));
    const size_t end = meshes.size() - (truth ? 0 : 2);
    if (!truth) truth = solved.back();
    for (size_t k = 2; k < end; ++k) {
      fmt::print("{} triangles, start {}\n", meshes[k].triangles.size(), start);
      compare(judged(kase, section, at_states, meshes, solved, k), *truth, samples);
    }
  }
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

namespace {

std::string truth_file(const std::string& name) {
  return std::string(SOURCE_DIR) + "/tests/physics/truth/" + name + ".csv";
}

Case with_order(const Case& kase, const std::string& order) {
  return read_case_text(kase.text + "\n[mesh]\nelement_order = \"" + order + "\"\n");
}

void write_truth(const Case& kase, const std::string& adapted_to, const std::string& name) {
  const Section section = draw_section(kase.machine);
  const Mesh mesh = mesh_sequence(kase, section, adapted_to, 9000, 1.05).back();
  Progress quiet(false);
  const SolvedStudies truth = run_studies(kase, section, mesh, 2, quiet);
  ASSERT_TRUE(truth.failed.empty()) << truth.failed[0].message;
  std::ofstream file(truth_file(name));
  file << fmt::format("# {} triangles, third order\nstudy,quantity,value\n", mesh.triangles.size());
  for (const StudyResult& study : truth.studies)
    for (const Quantity& q : study.results.quantities)
      if (!q.exact) file << fmt::format("{},{},{:.10g}\n", q.study, q.name, q.value);
}

/// Studies in the order of the file, quantities in theirs.
std::vector<Results> read_truth(const std::string& name) {
  std::ifstream file(truth_file(name));
  std::vector<Results> truth;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("#") || line.starts_with("study,")) continue;
    const size_t first = line.find(','), second = line.find(',', first + 1);
    Quantity q;
    q.study = line.substr(0, first);
    q.name = line.substr(first + 1, second - first - 1);
    q.value = std::stod(line.substr(second + 1));
    if (truth.empty() || truth.back().quantities[0].study != q.study) truth.emplace_back();
    truth.back().quantities.push_back(q);
  }
  return truth;
}

/// Values alone; quantities of the same name in the order of their operating points.
void compare_values(const Results& solved, const Results& truth, Samples& samples) {
  for (size_t k = 0; k < solved.quantities.size(); ++k) {
    const Quantity& q = solved.quantities[k];
    const Quantity* t = q.exact ? nullptr : same(solved.quantities, k, truth.quantities);
    if (t && q.error && *q.error > 0) samples[q.name].push_back(std::abs(q.value - t->value) / *q.error);
  }
}

}  // namespace

void sample_stored(const Case& given, const std::string& adapted_to, const std::string& name, double most_triangles,
                   const std::vector<double>& starts, Samples& samples) {
  const char* write = std::getenv("POLEPITCH_ERROR_TRUTH");
  if (write && std::string(write) == "write") return write_truth(with_order(given, "third"), adapted_to, name);
  const char* order = std::getenv("POLEPITCH_ERROR_ORDER");
  const Case kase = order ? with_order(given, order) : given;
  const std::vector<Results> truth = read_truth(name);
  ASSERT_EQ(truth.size(), kase.studies.size()) << truth_file(name);
  const Section section = draw_section(kase.machine);
  const AdaptRequest at_states = states_of_first(kase, section, adapted_to);
  Progress quiet(false);
  for (const double start : starts) {
    const std::vector<Mesh> meshes = mesh_sequence(kase, section, adapted_to, most_triangles, 1.05, start);
    ASSERT_GE(meshes.size(), 3u);
    const SolvedStudies here =
        solve_on_both_meshes(kase, section, pair_of(kase, section, at_states, meshes, 2), 2, quiet);
    ASSERT_TRUE(here.failed.empty()) << here.failed[0].message;
    fmt::print("{} triangles, beside {}\n", meshes[2].triangles.size(), meshes[beside(meshes, 2)].triangles.size());
    for (size_t s = 0; s < truth.size(); ++s) compare_values(here.studies[s].results, truth[s], samples);
  }
}

void judge(const Samples& samples, const std::vector<std::string>& watched, const std::vector<std::string>& cautious,
           size_t least) {
  const auto listed = [](const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  for (const auto& [name, ratios] : samples) {
    const auto within = std::count_if(ratios.begin(), ratios.end(), [](double r) { return r <= 2; });
    const double share = static_cast<double>(within) / static_cast<double>(ratios.size());
    fmt::print("{:24} {:4} samples  median {:5.2f}  within 2 x {:5.1f} %  95 % below {:.2f}\n", name, ratios.size(),
               median(ratios), 100 * share, quantile(ratios, 0.95));
    const bool tight = listed(watched, name);
    if (!tight && !listed(cautious, name)) continue;
    EXPECT_GE(ratios.size(), least) << name;
    EXPECT_GE(share, 0.95) << name;
    EXPECT_GE(median(ratios), tight ? 0.3 : 0) << name;
    EXPECT_LE(median(ratios), 1.5) << name;
  }
  for (const auto* names : {&watched, &cautious})
    for (const std::string& name : *names) EXPECT_TRUE(samples.count(name)) << name << " was not sampled";
}

}  // namespace polepitch::test
