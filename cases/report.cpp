#include "cases/report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include "cases/adaption.h"
#include "cases/command_line.h"
#include "post/atomic_file.h"
#include "post/mmf.h"
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

ReportTable rating_table(const Case& kase) {
  ReportTable table{"Rating", {"", ""}, {}};
  const PerUnitBase base = per_unit_base(kase.machine);
  const Values& v = kase.machine.rating.values;
  const int p = kase.machine.general.values.integer("pole_pairs");
  table.rows = {{"apparent power", fmt::format("{:.5g} kVA", 1e-3 * base.power)},
                {"line voltage", fmt::format("{:.5g} V, {}", v.number("line_voltage"), base.star ? "star" : "delta")},
                {"frequency", fmt::format("{:.5g} Hz", v.number("frequency"))},
                {"power factor", fmt::format("{:.3g}", v.number("power_factor"))},
                {"synchronous speed", fmt::format("{:.6g} rev/min", 60 * v.number("frequency") / p)},
                {"base impedance", fmt::format("{:.5g} ohm", base.impedance)}};
  return table;
}

ReportTable winding_table(const Section& section) {
  const WindingLayout& layout = section.winding;
  ReportTable table{"", {"slot", "layer", "phase", "conductors"}, {}};
  const int shown = std::max(1, layout.slots / (2 * layout.pole_pairs));
  for (const CoilSide& side : layout.sides)
    if (side.slot < shown)
      table.rows.push_back({std::to_string(side.slot + 1), side.layer == 0 ? "bottom" : "top", phase_name(side.phase),
                            fmt::format("{:+d}", side.sign * layout.turns_per_coil)});
  table.title = fmt::format("Winding: coil sides of the first {} of {} slots", shown, layout.slots);
  return table;
}

ReportTable material_table(const Section& section, const Materials& materials) {
  ReportTable table{"Materials", {"name", "what it is"}, {}};
  std::set<std::string> names;
  for (const Region& region : section.regions) names.insert(region.material);
  for (const std::string& name : names)
    if (const auto it = materials.find(name); it != materials.end()) table.rows.push_back({name, it->second.source});
  return table;
}

std::string sentence_of(const std::string& type) {
  for (const StudyType& t : study_types())
    if (t.name == type) return t.sentence;
  return "";
}

ReportStudy study_of(const ReportInput& in, const StudyResult& study, const std::string& name,
                     const std::string& type) {
  ReportStudy shown{name, sentence_of(type), {}};
  const Results& r = study.results;
  const std::string& directory = in.report.directory;
  add_picture(shown.pictures, directory, name + "_field", "Flux density and flux lines", true);
  add_picture(shown.pictures, directory, name + "_gap_field", "Flux density in the air gap and its harmonics");
  add_picture(shown.pictures, directory, name + "_flux_density", "Flux density of the parts against their limits");
  for (const Construction& c : r.constructions) add_picture(shown.pictures, directory, name + "_" + c.name, c.title);
  for (const PhasorDiagram& d : r.phasor_diagrams) add_picture(shown.pictures, directory, name + "_phasors", d.title);
  for (const ContourMap& map : r.contour_maps) add_picture(shown.pictures, directory, name + "_" + map.name, map.title);
  for (const ResultCurve& curve : r.curves)
    if (curve.spectrum && curve.name != "gap_spectrum")
      add_picture(shown.pictures, directory, name + "_" + curve.name, curve.title);
  return shown;
}

ReportTable run_table(const ReportInput& in) {
  ReportTable table{"This run", {"", ""}, {}};
  const double poles = 2.0 * in.section.pole_pairs;
  const double whole = static_cast<double>(in.mesh.triangles.size()) * in.section.sectors;
  table.rows = {{"mesh", fmt::format("{} second-order triangles in the sector, {:.0f} a pole", in.mesh.triangles.size(),
                                     whole / poles)},
                {"sector", fmt::format("one of {}", in.section.sectors)},
                {"studies", std::to_string(in.solved.studies.size())},
                {"time until the pages were written", fmt::format("{:.1f} s", in.seconds)}};
  return table;
}

/// The study's own curve for the moving point: torque over the frames' axis.
void add_curve(Scene& scene, const StudyResult& study) {
  for (const ResultCurve& curve : study.results.curves) {
    if (curve.name != study.frame_axis.curve) continue;
    for (const Column& column : curve.columns)
      if (column.name == study.frame_axis.column) {
        scene.curve_x = curve.columns.front().values;
        scene.curve_torque = column.values;
      }
  }
}

Scene scene_of(StaticField& field, const MmfMoments& moments, const StudyResult& study) {
  const FrameAxis& axis = study.frame_axis;
  Scene scene{study.frames.front().study, axis.title, axis.name, axis.unit, {}, {}, {}};
  const size_t count = std::min<size_t>(study.frames.size(), 60);
  for (size_t k = 0; k < count; ++k) {
    const FieldFrame& frame = study.frames[k * study.frames.size() / count];
    const MmfVectors mmf = mmf_vectors(field.section(), moments, frame.excitation);
    scene.frames.push_back({frame.at.value_or(frame.solution.rotor_angle * 180 / pi), &frame.solution, mmf.stator,
                            mmf.rotor, frame.torque ? *frame.torque : field.torque(frame.solution)});
  }
  add_curve(scene, study);
  return scene;
}

/// Every study with fields along an axis; "" where none has.
std::string scenes_of(const ReportInput& in) {
  std::vector<Scene> scenes;
  StaticField field(in.section, in.mesh, in.kase.materials, solver_options(in.kase));
  const MmfMoments moments = mmf_moments(field);
  for (const StudyResult& study : in.solved.studies)
    if (study.frames.size() > 1) scenes.push_back(scene_of(field, moments, study));
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
  add_picture(page.machine_pictures, in.report.directory, "mesh", "Mesh", true);
  if (kase.machine.rating.present) page.machine_tables.push_back(rating_table(kase));
  page.machine_tables.push_back(material_table(in.section, kase.materials));
  if (kase.machine.winding.present) page.machine_tables.push_back(winding_table(in.section));
  for (const StudyResult& study : in.solved.studies)
    if (!study.results.quantities.empty()) {
      const std::string name = study.results.quantities.front().study;
      std::string type = name;
      while (!type.empty() && (std::isdigit(static_cast<unsigned char>(type.back())) || type.back() == '-'))
        type.pop_back();
      page.studies.push_back(study_of(in, study, name, type));
    }
  page.scenes = scenes_of(in);
  page.run = run_table(in);
  write_file(in.report.directory + "/report.html", report_page(page, in.report.results));
}

}  // namespace polepitch
