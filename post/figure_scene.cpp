#include "post/figure_scene.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_arrow.h"
#include "post/figure_axes.h"
#include "post/figure_disc.h"

namespace polepitch {
namespace {

constexpr double page_width = 1180, page_height = 708, beside = 782;  // pt; the field's own picture is 782 x 708
constexpr int lines = 24;

Range range_of(std::vector<double> values, bool with_zero) {
  if (with_zero) values.push_back(0);
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  return *high > *low ? Range{*low, *high} : Range{*low - 0.5, *high + 0.5};
}

/// The study's own torque curve, or the frames' torques.
std::pair<std::vector<double>, std::vector<double>> curve_of(const Scene& scene) {
  if (!scene.curve_x.empty()) return {scene.curve_x, scene.curve_torque};
  std::pair<std::vector<double>, std::vector<double>> curve;
  for (const SceneFrame& f : scene.frames) {
    curve.first.push_back(f.x);
    curve.second.push_back(f.torque);
  }
  return curve;
}

void draw_vectors(Canvas& canvas, const SceneFrame& frame, double most) {
  const Point middle{beside + 195, 190};
  constexpr double radius = 105;
  canvas.text({beside + 10, 24}, "MMF vectors", {.size = 13, .bold = true});
  canvas.text({beside + 10, 42}, fmt::format("circle {:.4g} A; to the right: axis of phase A", most),
              {.size = 10, .colour = pale_ink});
  canvas.stroke(Path::circle(middle, radius), {pale_ink, 0.8, {}});
  canvas.stroke(Path().move(middle).line({middle.x + 1.15 * radius, middle.y}), {pale_ink, 0.8, {}});
  int k = 0;
  for (const auto& [name, vector] : {std::pair{"F_s", frame.stator}, {"F_r", frame.rotor}}) {
    Pen pen = line_pen(k++);
    pen.width = 2.4;
    const double length = radius * std::abs(vector) / most, angle = std::arg(vector);
    if (!(length > 0.5)) continue;
    const Point tip{middle.x + length * std::cos(angle), middle.y - length * std::sin(angle)};
    draw_arrow(canvas, middle, tip, pen);
    canvas.text({tip.x + 16 * std::cos(angle), tip.y - 14 * std::sin(angle)}, name,
                {.size = 13, .colour = pen.colour, .across = Anchor::middle, .bold = true, .halo = true});
  }
}

void draw_torque(Canvas& canvas, const Scene& scene, const SceneFrame& frame, const SceneScales& scales) {
  const auto [x, torque] = curve_of(scene);
  PlotArea plot{beside + 62, 370, page_width - beside - 84, 262, scales.x, scales.torque};
  plot.x_ticks = 5;
  canvas.text({beside + 10, 346}, fmt::format("torque {:.4g} N m", frame.torque), {.size = 13, .bold = true});
  const std::vector<double> ticks = scene.x_unit == "deg" ? degree_ticks(scales.x, 5) : std::vector<double>{};
  draw_axes(canvas, plot, axis_label(scene.x_name, scene.x_unit), "torque [N m]", ticks);
  canvas.stroke(plot_line(plot, x, torque), line_pen(0));
  draw_marker(canvas, {plot.page_x(frame.x), plot.page_y(frame.torque)}, 0, 7, line_pen(1).colour);
}

}  // namespace

SceneScales scene_scales(const Mesh& mesh, const Scene& scene) {
  SceneScales s;
  std::vector<double> x = scene.curve_x, torque = scene.curve_torque;
  double largest = 0;
  for (const SceneFrame& f : scene.frames) {
    x.push_back(f.x);
    torque.push_back(f.torque);
    s.mmf = std::max({s.mmf, std::abs(f.stator), std::abs(f.rotor)});
    for (double a : f.solution->a) largest = std::max(largest, std::abs(a));
  }
  const std::size_t last = scene.frames.size() - 1;
  for (std::size_t k : {std::size_t{0}, last / 3, last}) {
    const auto& a = scene.frames[k].solution->a;
    for (Side side : {Side::stator, Side::rotor})
      s.flux_density = std::max(s.flux_density, band_top(sector_flux_density(mesh, a, side).values));
  }
  s.line_step = 2 * largest / lines;
  s.mmf = std::max(s.mmf, 1e-9);
  s.x = range_of(x, false);
  s.torque = tidy_range(torque, 5, true);
  return s;
}

Canvas draw_scene_figure(const StaticField& field, const Scene& scene, std::size_t index, const SceneScales& scales,
                         const std::string& machine_title, double width, double height) {
  const SceneFrame& frame = scene.frames[index];
  FieldFigureOptions options;
  options.title = fmt::format("{}: {}, {} {:.4g} {}", machine_title, scene.study, axis_label(scene.x_name, ""), frame.x,
                              scene.x_unit);
  options.largest = scales.flux_density;
  options.line_step = scales.line_step;
  const StaticSolution& s = *frame.solution;
  Canvas page(page_width, page_height);
  page.place(draw_field_figure(field.section(), field.mesh(), s.a, s.gap, s.rotor_angle, options), {0, 0}, 1);
  draw_vectors(page, frame, scales.mmf);
  draw_torque(page, scene, frame, scales);
  const double scale = std::min(width / page_width, height / page_height);
  Canvas fitted(width, height);
  fitted.place(page, {0.5 * (width - scale * page_width), 0.5 * (height - scale * page_height)}, scale);
  return fitted;
}

}  // namespace polepitch
