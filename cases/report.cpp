#include "cases/report.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "cases/adaption.h"
#include "cases/command_line.h"
#include "cases/report_tables.h"
#include "cases/scenes.h"
#include "post/atomic_file.h"
#include "post/figure_curve.h"
#include "post/report_charts.h"
#include "post/report_page.h"
#include "post/scene.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

/// The picture NAME of the run: as SVG, or as PNG where the SVG holds a mesh or a field. None where it was not drawn.
void add_picture(std::vector<ReportPicture>& pictures, const std::string& directory, const std::string& name,
                 const std::string& title, bool field = false) {
  const fs::path base = fs::path(directory) / name;
  const fs::path path = base.string() + (field ? ".png" : ".svg");
  if (!fs::exists(path)) return;
  pictures.push_back({title, field ? inline_png(bytes_of(path), title) : inline_svg(bytes_of(path), name, title)});
}

std::string sentence_of(const std::string& type) {
  for (const StudyType& t : study_types())
    if (t.name == type) return t.sentence;
  return "";
}

ReportStudy study_of(const ReportInput& in, const StudyResult& study, const std::string& name, const Block& asked) {
  ReportStudy shown{name, sentence_of(asked.type), asked_table(asked), {}};
  const Results& r = study.results;
  const std::string& directory = in.report.directory;
  add_picture(shown.pictures, directory, name + "_field", "Flux density and flux lines", true);
  add_picture(shown.pictures, directory, name + "_gap_field", "Flux density in the air gap and its harmonics");
  add_picture(shown.pictures, directory, name + "_flux_density", "Flux density of the parts against their limits");
  for (const Construction& c : r.constructions) add_picture(shown.pictures, directory, name + "_" + c.name, c.title);
  for (const PhasorDiagram& d : r.phasor_diagrams) add_picture(shown.pictures, directory, name + "_" + d.name, d.title);
  for (const ContourMap& map : r.contour_maps) add_picture(shown.pictures, directory, name + "_" + map.name, map.title);
  // What no chart of the page shows: spectra, and curves whose abscissa does not rise. The gap's are drawn together.
  for (const ResultCurve& curve : r.curves)
    if (!is_chart(curve) && curve.name != "gap_spectrum")
      add_picture(shown.pictures, directory, name + "_" + curve.name, curve.title);
  return shown;
}

/// Every study with fields along an axis; "" where none has.
std::string scenes_of(const ReportInput& in) {
  std::vector<Scene> scenes;
  StaticField field(in.section, in.mesh, in.kase.materials, solver_options(in.kase));
  const MmfMoments moments = mmf_moments(field);
  for (const StudyResult& study : in.solved.studies)
    if (study.frames.size() > 1) scenes.push_back(scene_of(field, moments, study, 60));
  return scenes.empty() ? "" : scenes_json(field, scenes);
}

}  // namespace

void write_report(const ReportInput& in) {
  ReportPage page;
  const Case& kase = in.kase;
  page.title = kase.title.empty() ? kase.name : kase.title;
  page.case_name = kase.name;
  page.program_version = program_version();
  page.command = "polepitch run " + kase.name + ".toml";
  page.case_text = kase.text;
  add_picture(page.machine_pictures, in.report.directory, "section", "Section and winding");
  add_picture(page.machine_pictures, in.report.directory, "stator_dimensions", "Dimensions of the stator");
  add_picture(page.machine_pictures, in.report.directory, "rotor_dimensions", "Dimensions of the rotor");
  add_picture(page.machine_pictures, in.report.directory, "mesh", "Mesh", true);
  for (const ResultCurve& curve : in.report.results.curves)
    if (curve.study == "description")
      page.machine_pictures.push_back(
          {curve.title,
           inline_svg(draw_curve_figure(curve, page.title).render(PictureFormat::svg), curve.name, curve.title)});
  page.machine_tables = machine_tables(kase, in.section);
  for (const Diagnostic& fault : in.report.failed)
    page.failed.push_back(fault.message + (fault.hint.empty() ? "" : ". " + fault.hint));
  const std::vector<std::string> names = study_names(kase);
  for (const StudyResult& study : in.solved.studies) {
    if (study.results.quantities.empty()) continue;
    const auto name = std::find(names.begin(), names.end(), study.results.quantities.front().study);
    if (name != names.end())
      page.studies.push_back(study_of(in, study, *name, kase.studies[static_cast<size_t>(name - names.begin())]));
  }
  if (in.section.rotor_outside())
    page.cautions.push_back("The rotor lies outside and turns where it can be touched: it needs a guard.");
  page.scenes = scenes_of(in);
  page.run = run_table(in.section, in.mesh, in.solved, in.seconds);
  write_file(in.report.directory + "/report.html", report_page(page, in.report.results));
}

}  // namespace polepitch
