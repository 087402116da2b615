#include "cases/write_results.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/interrupt.h"
#include "post/atomic_file.h"
#include "post/csv_file.h"
#include "post/demagnetisation.h"
#include "post/figure_axes.h"
#include "post/figure_construction.h"
#include "post/figure_curve.h"
#include "post/figure_field.h"
#include "post/figure_flux_bars.h"
#include "post/figure_gap.h"
#include "post/figure_map.h"
#include "post/figure_phasors.h"
#include "post/paraview_script.h"
#include "post/vtk_file.h"

namespace polepitch {
namespace {

void write_both(const Canvas& canvas, const std::string& path) {
  write_picture(canvas, path + ".png");
  write_picture(canvas, path + ".svg");
}

std::string machine_title(const Case& kase) {
  return kase.title.empty() ? kase.name : kase.title;
}

std::string frame_title(const Case& kase, const FieldFrame& frame, const FrameAxis& axis) {
  const std::string place = frame.at ? axis_label(axis.name, "") + fmt::format(" {:.4g} {}", *frame.at, axis.unit)
                                     : fmt::format("rotor at {:.1f} deg", frame.solution.rotor_angle * 180 / pi);
  return fmt::format("{}: {}, {}", machine_title(kase), frame.study, place);
}

/// Along what the fields of a study follow each other: the rotor's angle where it turns, else the study's own axis
/// (time, load angle, slip), else their number.
struct FrameSeries {
  std::string label;
  std::vector<double> steps;
};

FrameSeries frame_series(const StudyResult& study) {
  FrameSeries series;
  const auto& frames = study.frames;
  const bool timed = study.frame_axis.name == "time";
  const bool turning = !timed && frames.size() > 1 && frames[0].solution.rotor_angle != frames[1].solution.rotor_angle;
  const bool placed = std::all_of(frames.begin(), frames.end(), [](const FieldFrame& f) { return f.at.has_value(); });
  series.label = turning  ? "mechanical rotor angle in degrees"
                 : placed ? axis_label(study.frame_axis.name, study.frame_axis.unit)
                          : "number of the frame; the rotor stands";
  for (const FieldFrame& f : frames)
    series.steps.push_back(turning ? f.solution.rotor_angle * 180 / pi : placed ? *f.at : f.time);
  return series;
}

}  // namespace

void draw_study(const Case& kase, StaticField& solver, const StudyResult& study, const std::string& directory) {
  const Section& section = solver.section();
  if (!study.frames.empty()) {
    const FieldFrame& frame = study.frames[study.pictured];
    const StaticSolution& s = frame.solution;
    FieldFigureOptions field;
    field.title = frame_title(kase, frame, study.frame_axis);
    const double temperature = kase.machine.general.values.number("magnet_temperature");
    if (const auto knees = knee_fields(section, kase.materials, temperature)) {
      field.hatched = demagnetised_triangles(solver, s, *knees);
      field.hatched_words = "magnet past its knee";
    }
    write_both(draw_field_figure(section, solver.mesh(), s.a, s.gap, s.rotor_angle, field),
               directory + "/" + frame.study + "_field");
    write_both(draw_gap_figure(s.gap, section.pole_pairs, {field.title}), directory + "/" + frame.study + "_gap_field");
  }
  for (const ResultCurve& curve : study.results.curves) {
    if (curve.name == "gap" || curve.name == "gap_spectrum") continue;  // drawn together above
    if (std::none_of(curve.columns.begin(), curve.columns.end(), [](const Column& c) { return c.drawn; })) continue;
    write_both(draw_curve_figure(curve, machine_title(kase)), directory + "/" + curve.study + "_" + curve.name);
  }
  for (const Construction& c : study.results.constructions)
    write_both(draw_construction_figure(c, machine_title(kase)), directory + "/" + c.study + "_" + c.name);
  for (const ContourMap& map : study.results.contour_maps)
    write_both(draw_map_figure(map, machine_title(kase)), directory + "/" + map.study + "_" + map.name);
  for (const PhasorDiagram& phasors : study.results.phasor_diagrams)
    write_both(draw_phasor_figure(phasors, machine_title(kase)), directory + "/" + phasors.study + "_" + phasors.name);
  for (const FluxDensityTable& table : study.results.flux_tables)
    write_both(draw_flux_bars_figure(table, machine_title(kase)), directory + "/" + table.study + "_flux_density");
}

void write_fields(StaticField& field, const StudyResult& study, const std::string& directory) {
  if (study.frames.empty()) return;
  const std::string folder = directory + "/field";
  make_directory(folder);
  const FrameSeries series = frame_series(study);
  std::vector<std::pair<double, std::string>> steps;
  for (size_t i = 0; i < study.frames.size(); ++i) {
    const FieldFrame& frame = study.frames[i];
    steps.emplace_back(series.steps[i], fmt::format("{}_{:03}.vtu", frame.study, i));
    write_vtu(field, frame.excitation, frame.solution, series.steps[i], folder + "/" + steps.back().second);
  }
  write_pvd(steps, series.label, folder + "/" + study.frames.front().study + ".pvd");
}

void write_studies(const Case& kase, const Section& section, const Mesh& mesh, const SolvedStudies& solved,
                   const std::string& directory) {
  FieldPool fields(section, mesh, kase.materials, solver_options(kase), 1);
  std::vector<std::string> with_fields;
  for (const StudyResult& study : solved.studies) {
    throw_if_interrupted();
    if (kase.output.values.flag("pictures")) draw_study(kase, fields.of(0), study, directory);
    if (study.frames.empty()) continue;
    write_fields(fields.of(0), study, directory);
    with_fields.push_back(study.frames.front().study);
  }
  if (!with_fields.empty()) write_file(directory + "/field/open_in_paraview.py", paraview_script(with_fields));
}

}  // namespace polepitch
