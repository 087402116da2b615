#include "cases/run_case.h"

#include <chrono>

#include "cases/adaption.h"
#include "cases/case.h"
#include "cases/checkpoint.h"
#include "cases/circuit.h"
#include "cases/command_line.h"
#include "cases/describe.h"
#include "cases/former_results.h"
#include "cases/interrupt.h"
#include "cases/report.h"
#include "cases/run_studies.h"
#include "cases/write_results.h"
#include "geometry/drawing_faults.h"
#include "geometry/dxf_writer.h"
#include "geometry/section.h"
#include "post/atomic_file.h"
#include "post/circuit_files.h"
#include "post/csv_file.h"
#include "post/figure_drawing.h"
#include "post/summary_file.h"
#include "post/usual_ranges.h"

namespace polepitch {
namespace {

template <class T>
void append(std::vector<T>& all, const std::vector<T>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

void append(Results& all, const Results& more) {
  append(all.quantities, more.quantities);
  append(all.curves, more.curves);
  append(all.flux_tables, more.flux_tables);
  append(all.constructions, more.constructions);
  append(all.phasor_diagrams, more.phasor_diagrams);
  append(all.flux_maps, more.flux_maps);
  append(all.contour_maps, more.contour_maps);
  append(all.warnings, more.warnings);
}

/// Draws the section. What is wrong in a drawing is shown in a picture beside the results.
Section drawn_section(const Case& kase, const std::string& directory) {
  try {
    return draw_section(kase.machine);
  } catch (DrawingError& error) {
    make_directory(directory);
    const std::string picture = directory + "/drawing-faults.png";
    write_picture(draw_faults_figure(*error.drawing, error.faults, kase.title), picture);
    std::vector<DrawingFault> faults = error.faults;
    faults.back().diagnostic.hint += "\n  hint: the places are shown in " + picture;
    throw DrawingError(*error.drawing, std::move(faults));
  }
}

}  // namespace

RunReport run_case(const RunRequest& request, Progress& progress) {
  const auto begin = std::chrono::steady_clock::now();
  // 1. Read: text to machine, materials and studies, in SI, every fault of the file at once.
  progress.start("reading");
  const Case kase = read_case(request.case_path);
  RunReport report;
  report.case_name = kase.name;
  report.title = kase.title;
  report.directory = request.directory.empty() ? kase.name : request.directory;

  // 2. Draw: the winding is laid out, then the smallest sector of both sides as points, curves and regions.
  const Section section = drawn_section(kase, report.directory);
  check_studies(kase, section);
  throw_if_interrupted();

  // 3. Mesh both sides up to the gap circles: the case's own mesh, or for studies one adapted to them. The rotor turns
  // without a new mesh.
  const bool solve = request.solve && !kase.studies.empty();
  progress.start(solve ? "adapting the mesh" : "meshing");
  Results adaption;
  const auto stop_when_interrupted = [](const Mesh&) { throw_if_interrupted(); };
  const CaseMeshes meshes = solve ? adapted_meshes(kase, section, adaption, stop_when_interrupted)
                                  : CaseMeshes{first_mesh(kase, section), {}, 0, 0};
  throw_if_interrupted();

  // 4. Describe: what needs no field.
  make_directory(report.directory);
  if (!request.drawing.empty()) write_file(request.drawing, dxf_text(section));
  remove_former_results(report.directory);
  report.results = describe_machine(kase, section, meshes.mesh);
  append(report.results, adaption);
  if (kase.output.values.flag("pictures")) draw_description(kase, section, meshes.mesh, report.directory);
  throw_if_interrupted();

  // 5. Solve the studies on a coarser mesh of the sequence, then on this one, from the former fields: each number's
  // error is a share of the difference.
  SolvedStudies solved;
  if (solve) {
    solved = solve_on_both_meshes(kase, section, meshes, request.jobs, progress, report.directory);
    report.failed = solved.failed;
  }

  // 6. Write numbers, curves, pictures and fields.
  progress.start("writing");
  for (const StudyResult& study : solved.studies) append(report.results, study.results);
  if (kase.machine.rating.present)
    for (const std::string& remark : unusual_reactances(
             kase.machine.rotor.type, kase.machine.rating.values.number("power"), report.results.quantities))
      report.results.warnings.push_back(remark);
  for (const ResultCurve& curve : report.results.curves) write_csv(curve, report.directory);
  if (!solved.studies.empty()) write_studies(kase, section, meshes.mesh, solved, report.directory);
  const CircuitModel circuit = circuit_model(kase, section, report.results);
  if (!circuit.empty()) write_circuit_files(circuit, report.directory + "/circuit");
  write_summary(report.case_name, program_version(), report.results, report.directory + "/summary.json");
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
  write_report({kase, section, meshes.mesh, solved, report, taken.count()});
  remove_checkpoints(report.directory);
  progress.clear();
  return report;
}

}  // namespace polepitch
