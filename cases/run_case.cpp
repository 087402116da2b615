#include "cases/run_case.h"

#include "cases/case.h"
#include "cases/command_line.h"
#include "cases/describe.h"
#include "cases/interrupt.h"
#include "geometry/mesh.h"
#include "geometry/section.h"
#include "post/atomic_file.h"
#include "post/csv_file.h"
#include "post/summary_file.h"

namespace polepitch {

RunReport run_case(const RunRequest& request, Progress& progress) {
  // 1. Read: text to machine, materials and studies, in SI, every fault of the file at once.
  progress.start("reading");
  const Case kase = read_case(request.case_path);
  RunReport report;
  report.case_name = kase.name;
  report.title = kase.title;
  report.directory = request.directory.empty() ? kase.name : request.directory;

  // 2. Draw: the winding is laid out, then the smallest sector of both sides as points, curves and regions.
  const Section section = draw_section(kase.machine);
  throw_if_interrupted();

  // 3. Mesh both sides up to the gap circles. The rotor turns without a new mesh.
  const Mesh mesh = mesh_section(section, {kase.machine.mesh.values.number("density")});
  throw_if_interrupted();

  // 4. Describe: what needs no field.
  make_directory(report.directory);
  report.results = describe_machine(kase, section, mesh);
  if (kase.output.values.flag("pictures")) draw_description(kase, section, mesh, report.directory);
  throw_if_interrupted();

  // 6. Write.
  for (const ResultCurve& curve : report.results.curves) write_csv(curve, report.directory);
  write_summary(report.case_name, program_version(), report.results, report.directory + "/summary.json");
  progress.clear();
  return report;
}

}  // namespace polepitch
