// What the report page costs from results that are there: sixty fields of the salient-pole generator on the mesh of the
// accuracy that is the default. Counters: nodes of the sector, megabytes of the page.
#include <benchmark/benchmark.h>

#include <filesystem>
#include <string>

#include "cases/adaption.h"
#include "cases/case.h"
#include "cases/describe.h"
#include "cases/progress.h"
#include "cases/report.h"
#include "cases/run_studies.h"
#include "cases/write_results.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

void page_of_sixty_fields(benchmark::State& bench) {
  pin_blas_to_one_thread();
  const Case kase = read_case(SOURCE_DIR "/tests/bench/sixty-fields.toml");
  const Section section = draw_section(kase.machine);
  Results adaption;
  const CaseMeshes meshes = adapted_meshes(kase, section, adaption, [](const Mesh&) {});
  Progress progress(false);
  const SolvedStudies solved = run_studies(kase, section, meshes.mesh, 1, progress);
  RunReport report;
  report.directory = (fs::temp_directory_path() / "polepitch-page-bench").string();
  fs::create_directories(report.directory);
  draw_description(kase, section, meshes.mesh, report.directory);
  write_studies(kase, section, meshes.mesh, solved, report.directory);
  for (const StudyResult& study : solved.studies) {
    const Results& r = study.results;
    report.results.quantities.insert(report.results.quantities.end(), r.quantities.begin(), r.quantities.end());
    report.results.curves.insert(report.results.curves.end(), r.curves.begin(), r.curves.end());
  }
  for (auto _ : bench) write_report({kase, section, meshes.mesh, solved, report, 0});
  bench.counters["nodes"] = static_cast<double>(meshes.mesh.nodes.size());
  bench.counters["frames"] = static_cast<double>(solved.studies.front().frames.size());
  bench.counters["megabytes"] = 1e-6 * static_cast<double>(fs::file_size(report.directory + "/report.html"));
  fs::remove_all(report.directory);
}
BENCHMARK(page_of_sixty_fields)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace polepitch
