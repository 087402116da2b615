#include "cases/run_studies.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <map>
#include <tuple>

#include "cases/interrupt.h"

namespace polepitch {
namespace {

const StudyType& type_of(const Block& study) {
  for (const StudyType& type : study_types())
    if (type.name == study.type) return type;
  throw std::logic_error("no study " + study.type);  // the reader has refused it
}

SolverOptions solver_options(const Case& kase) {
  SolverOptions options;
  options.tolerance = 1e-6;  // torque to 1e-8: far below the error of the mesh
  options.temperature = kase.machine.general.values.number("magnet_temperature");
  if (kase.machine.mesh.values.text("iteration") == "short") options.stop_change = 1e-5;
  if (kase.machine.rating.present) options.torque_scale = per_unit_base(kase.machine).torque;
  return options;
}

using Key = std::tuple<std::string, std::string, std::vector<std::pair<std::string, std::string>>>;

/// Operating points that a study searches (a torque angle) differ between meshes by their own error: they are told
/// apart by their keys and, when given, their text.
Key key_of(const Quantity& q) {
  auto at = q.at;
  for (auto& [name, text] : at)
    if (name == "torque_angle" || name == "where") text.clear();
  return {q.study, q.name, at};
}

void attach_flux_errors(Results& fine, const Results& coarse) {
  for (size_t t = 0; t < fine.flux_tables.size() && t < coarse.flux_tables.size(); ++t)
    for (FluxDensityRow& row : fine.flux_tables[t].rows)
      for (const FluxDensityRow& other : coarse.flux_tables[t].rows)
        if (row.part == other.part) row.error = std::abs(row.largest - other.largest);
}

}  // namespace

std::vector<std::string> study_names(const Case& kase) {
  std::map<std::string, int> seen;
  std::vector<std::string> names;
  for (const Block& study : kase.studies) {
    const int count = ++seen[study.type];
    names.push_back(count == 1 ? study.type : study.type + "-" + std::to_string(count));
  }
  return names;
}

void check_studies(const Case& kase, const Section& section) {
  std::vector<Diagnostic> faults;
  for (const Block& study : kase.studies) try {
      if (const StudyType& type = type_of(study); type.check) type.check(kase, section, study);
    } catch (const InputError& fault) {
      faults.insert(faults.end(), fault.diagnostics().begin(), fault.diagnostics().end());
    }
  if (!faults.empty()) throw InputError(faults);
}

SolvedStudies run_studies(const Case& kase, const Section& section, const Mesh& mesh, int jobs, Progress& progress) {
  FieldPool fields(section, mesh, kase.materials, solver_options(kase), jobs);
  const std::vector<std::string> names = study_names(kase);
  SolvedStudies solved;
  std::exception_ptr first_failure;
  for (size_t i = 0; i < kase.studies.size(); ++i) {
    const auto advance = [&progress](double share) {
      throw_if_interrupted();
      progress.update(share);
    };
    progress.start(names[i]);
    StudyContext context{kase, section, mesh, fields, names[i], advance};
    try {
      solved.studies.push_back(type_of(kase.studies[i]).run(context, kase.studies[i]));
    } catch (const ConvergenceError& fault) {
      if (!first_failure) first_failure = std::current_exception();
      for (Diagnostic diagnostic : fault.diagnostics()) {
        diagnostic.place = kase.studies[i].place;
        diagnostic.message = names[i] + ": " + diagnostic.message;
        solved.failed.push_back(std::move(diagnostic));
      }
    }
  }
  if (solved.studies.empty() && first_failure) std::rethrow_exception(first_failure);
  return solved;
}

void attach_errors(SolvedStudies& fine, const SolvedStudies& coarse) {
  std::map<Key, double> values;
  for (const StudyResult& study : coarse.studies)
    for (const Quantity& q : study.results.quantities) values[key_of(q)] = q.value;
  for (size_t i = 0; i < fine.studies.size(); ++i) {
    for (Quantity& q : fine.studies[i].results.quantities) {
      const auto it = values.find(key_of(q));
      if (it == values.end()) continue;
      // A study may know of an error beside the mesh's, such as the step of a search.
      if (!q.exact) q.error = std::max(q.error.value_or(0), std::abs(q.value - it->second));
    }
    if (i < coarse.studies.size()) attach_flux_errors(fine.studies[i].results, coarse.studies[i].results);
  }
}

}  // namespace polepitch
