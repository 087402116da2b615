#include "cases/run_studies.h"

#include <exception>
#include <map>

#include "cases/adaption.h"
#include "cases/interrupt.h"

namespace polepitch {
namespace {

const StudyType& type_of(const Block& study) {
  for (const StudyType& type : study_types())
    if (type.name == study.type) return type;
  throw std::logic_error("no study " + study.type);  // the reader has refused it
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
                          Forerun* keeps, const Forerun* forerun, const std::string& directory) {
  SolverOptions options = solver_options(kase);
  FieldPool fields(section, mesh, kase.materials, options, jobs);
  options.third_order = false;
  FieldPool second_order(section, mesh, kase.materials, options, jobs);  // where the study's other fields are
  const std::vector<std::string> names = study_names(kase);
  SolvedStudies solved;
  std::exception_ptr first_failure;
  for (size_t i = 0; i < kase.studies.size(); ++i) {
    const auto advance = [&progress](double share) {
      throw_if_interrupted();
      progress.update(share);
    };
    progress.start(names[i]);
    const StudyType& type = type_of(kase.studies[i]);
    FieldPool& pool = type.stepped || type.beside ? second_order : fields;
    StudyContext context{kase, section, mesh, pool, names[i], advance, keeps, forerun, 0, directory};
    try {
      solved.studies.push_back(type.run(context, kase.studies[i]));
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

SolvedStudies solve_on_both_meshes(const Case& kase, const Section& section, const CaseMeshes& meshes, int jobs,
                                   Progress& progress, const std::string& directory) {
  Forerun forerun(section, meshes.coarser, meshes.mesh);
  progress.start("coarser mesh");
  SolvedStudies coarser;
  try {
    coarser = run_studies(kase, section, meshes.coarser, jobs, progress, &forerun, nullptr, directory);
  } catch (const ConvergenceError&) {
    // What does not converge there may do so on the finer mesh: its numbers then have no error.
  }
  SolvedStudies solved = run_studies(kase, section, meshes.mesh, jobs, progress, nullptr, &forerun, directory);
  attach_errors(solved, coarser, meshes);
  return solved;
}

}  // namespace polepitch
