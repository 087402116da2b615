#include "cases/run_studies.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <map>
#include <tuple>

#include "cases/adaption.h"
#include "cases/interrupt.h"

namespace polepitch {
namespace {

const StudyType& type_of(const Block& study) {
  for (const StudyType& type : study_types())
    if (type.name == study.type) return type;
  throw std::logic_error("no study " + study.type);  // the reader has refused it
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

/// Root of the mean square of the differences; −1 where the lists do not go together.
double difference(const std::vector<double>& one, const std::vector<double>& other) {
  if (one.empty() || one.size() != other.size()) return -1;
  double sum = 0;
  for (size_t i = 0; i < one.size(); ++i) sum += (one[i] - other[i]) * (one[i] - other[i]);
  return std::sqrt(sum / static_cast<double>(one.size()));
}

/// Angles and MMFs hardly know the mesh: no share of the field's error is put on them.
bool knows_the_field(const std::string& unit) {
  return unit != "deg" && unit != "A";
}

double error_of(double change, double value, const std::string& unit, const CaseMeshes& meshes) {
  const double floor = knows_the_field(unit) ? 0.5 * meshes.relative_error * std::abs(value) : 0;
  return std::hypot(meshes.error_factor * change, floor);
}

void attach_to(Quantity& q, const Quantity& coarser, const CaseMeshes& meshes) {
  if (q.exact) return;
  const double over_positions = difference(q.samples, coarser.samples);
  const double change = over_positions >= 0 ? over_positions : std::abs(q.value - coarser.value);
  // A study may know of an error beside the mesh's, such as the step of a search.
  q.error = std::max(q.error.value_or(0), error_of(change, q.value, q.unit, meshes));
}

/// Curves over the same abscissa; where a study searched for it, its points are not the same and the curve has none.
void attach_to(std::vector<ResultCurve>& curves, const std::vector<ResultCurve>& coarser, const CaseMeshes& meshes) {
  for (size_t k = 0; k < curves.size() && k < coarser.size(); ++k) {
    std::vector<Column>& columns = curves[k].columns;
    const std::vector<Column>& others = coarser[k].columns;
    if (columns.size() != others.size() || columns.empty() || columns[0].values != others[0].values) continue;
    for (size_t c = 1; c < columns.size(); ++c)
      if (const double change = difference(columns[c].values, others[c].values); change >= 0)
        columns[c].error = meshes.error_factor * change;
  }
}

void attach_to(std::vector<FluxDensityTable>& tables, const std::vector<FluxDensityTable>& coarser,
               const CaseMeshes& meshes) {
  for (size_t t = 0; t < tables.size() && t < coarser.size(); ++t)
    for (FluxDensityRow& row : tables[t].rows)
      for (const FluxDensityRow& other : coarser[t].rows)
        if (row.part == other.part) row.error = error_of(row.largest - other.largest, row.largest, "T", meshes);
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

SolvedStudies run_studies(const Case& kase, const Section& section, const Mesh& mesh, int jobs, Progress& progress,
                          Forerun* keeps, const Forerun* forerun) {
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
    StudyContext context{kase, section, mesh, fields, names[i], advance, keeps, forerun};
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

void attach_errors(SolvedStudies& solved, const SolvedStudies& coarser, const CaseMeshes& meshes) {
  std::map<Key, const Quantity*> former;
  std::map<std::string, const Results*> results;
  for (const StudyResult& study : coarser.studies)
    for (const Quantity& q : study.results.quantities) {
      former[key_of(q)] = &q;
      results[q.study] = &study.results;
    }
  for (StudyResult& study : solved.studies) {
    for (Quantity& q : study.results.quantities)
      if (const auto it = former.find(key_of(q)); it != former.end()) attach_to(q, *it->second, meshes);
    if (study.results.quantities.empty()) continue;
    const auto it = results.find(study.results.quantities.front().study);
    if (it == results.end()) continue;
    attach_to(study.results.curves, it->second->curves, meshes);
    attach_to(study.results.flux_tables, it->second->flux_tables, meshes);
  }
}

}  // namespace polepitch
