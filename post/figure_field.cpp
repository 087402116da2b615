#include "post/figure_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_axes.h"
#include "post/figure_disc.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double pi_ = 3.14159265358979323846;
constexpr double margin = 16, head = 52, field_size = 640, column = 110;  // pt

struct Layer {  // |B| of one side or of the annulus, drawn `copies` times
  NodalField field;
  std::vector<unsigned char> border;
  int copies = 1;
  double rotation = 0;
};

struct Bands {
  double step = 0.2;
  int count = 2;  // 0 … step, step … 2 step, …, open
};

Bands choose_bands(const std::vector<Layer>& layers, double largest) {
  std::vector<double> all;
  for (const Layer& layer : layers) all.insert(all.end(), layer.field.values.begin(), layer.field.values.end());
  const double top = largest > 0 ? largest : band_top(std::move(all));
  if (!(top > 0)) return {};
  const double step = tidy_step(top, 12);
  return {step, std::max(2, static_cast<int>(std::floor(top / step + 1e-9)) + 1)};
}

Colour band_colour(int band, const Bands& bands) {
  return sequential(band / (bands.count - 1.0));
}

// Points nearer than `grain` [pt] to the last one are left out.
void append_line(Path& path, const Polyline& line, const View& view, double rotation, double grain) {
  Point last = view(line.points.front(), rotation);
  path.move(last);
  for (std::size_t i = 1; i < line.points.size(); ++i) {
    const Point p = view(line.points[i], rotation);
    if (i + 1 < line.points.size() && std::abs(p.x - last.x) + std::abs(p.y - last.y) < grain) continue;
    path.line(last = p);
  }
  if (line.closed) path.close();
}

std::vector<Layer> flux_layers(const Mesh& mesh, std::span<const double> a, const GapField& gap, double rotor_angle) {
  std::vector<Layer> layers;
  layers.push_back({sector_flux_density(mesh, a, Side::stator), {}, mesh.sectors, 0});
  layers.push_back({sector_flux_density(mesh, a, Side::rotor), {}, mesh.sectors, rotor_angle});
  layers.push_back({annulus_flux_density(gap, annulus_points(mesh), 4), {}, 1, 0});
  for (Layer& layer : layers) layer.border = border_edges(layer.field.mesh);
  return layers;
}

// Area above each band's lower end, over the bands before it and in one path: neither bands nor neighbouring regions
// meet at edges of two fills, so no seam can show, smooth edges or not.
void draw_bands(Canvas& canvas, const std::vector<Layer>& layers, const Bands& bands, const View& view) {
  for (int band = 0; band < bands.count; ++band) {
    Path path;
    for (const Layer& layer : layers)
      for (const Polyline& loop : area_above(layer.field.mesh, layer.border, layer.field.values, band * bands.step))
        for (int k = 0; k < layer.copies; ++k)
          append_line(path, loop, view, layer.rotation + 2 * pi_ * k / layer.copies, 0.15);
    canvas.fill(std::move(path), band_colour(band, bands), Edges::smooth);
  }
}

// Straight triangles serve: the hatching says where, not how much.
void hatch_triangles(Canvas& canvas, const Section& section, const Mesh& mesh, const std::vector<int>& triangles,
                     double rotor_angle, const View& view) {
  Path path;
  for (int k = 0; k < section.sectors; ++k)
    for (int t : triangles) {
      const Side side = section.regions[static_cast<std::size_t>(mesh.region[static_cast<std::size_t>(t)])].side;
      const double turn = sector_rotation(section, side, k, rotor_angle);
      const auto& nodes = mesh.triangles[static_cast<std::size_t>(t)];
      const auto at = [&](int i) { return view(mesh.nodes[static_cast<std::size_t>(nodes[i])], turn); };
      path.move(at(0)).line(at(1)).line(at(2)).close();
    }
  canvas.hatch(std::move(path), Hatch::crossed, {ink, 0.9, {}}, 3);
}

/// Levels half a step off zero, so that opposite poles have the same lines.
std::vector<double> stepped(const std::vector<double>& values, double step) {
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  std::vector<double> levels;
  for (double k = std::ceil(*low / step - 0.5); (k + 0.5) * step <= *high; ++k) levels.push_back((k + 0.5) * step);
  return levels;
}

double draw_flux_lines(Canvas& canvas, const NodalField& disc, const FieldFigureOptions& options, const View& view) {
  double step = options.line_step;
  const std::vector<double> levels =
      step > 0 ? stepped(disc.values, step) : equal_steps(disc.values, options.lines, &step);
  Path path;
  for (const auto& lines : level_lines(disc.mesh, disc.values, levels))
    for (const Polyline& line : lines) append_line(path, line, view, 0, 0.3);
  canvas.stroke(std::move(path), {ink, 0.55, {}});
  return step;
}

void draw_outlines(Canvas& canvas, const Section& section, double rotor_angle, const View& view) {
  for (Side side : {Side::stator, Side::rotor}) {
    const std::vector<int> curves = visible_curves(section, side);
    Path path;
    for (int k = 0; k < section.sectors; ++k)
      append_curves(path, section.sides[static_cast<std::size_t>(side)], curves, view,
                    sector_rotation(section, side, k, rotor_angle));
    canvas.stroke(std::move(path), {ink, 1.0, {}});
  }
}

void draw_scale(Canvas& canvas, const Bands& bands, double left, double top, double height) {
  constexpr double width = 20, tip = 16;
  const double each = (height - tip) / bands.count;
  for (int band = 0; band < bands.count; ++band) {
    const double y = top + height - (band + 1) * each;
    canvas.fill(Path::rectangle(left, y, width, each), band_colour(band, bands));
  }
  Path open;  // above: the top band has no upper end
  open.move({left, top + tip}).line({left + width / 2, top}).line({left + width, top + tip}).close();
  canvas.fill(std::move(open), band_colour(bands.count - 1, bands));
  Path frame;
  frame.move({left, top + height}).line({left, top + tip}).line({left + width / 2, top});
  frame.line({left + width, top + tip}).line({left + width, top + height}).close();
  canvas.stroke(std::move(frame), {ink, 0.8, {}});
  for (int band = 0; band < bands.count; ++band) {
    const double y = top + height - band * each;
    Path tick;
    tick.move({left + width, y}).line({left + width + 4, y});
    canvas.stroke(std::move(tick), {ink, 0.8, {}});
    canvas.text({left + width + 8, y}, tick_label(band * bands.step, bands.step), {.size = 10, .colour = ink});
  }
  canvas.text({left, top - 14}, "|B| [T]", {.size = 11, .colour = ink});
}

}  // namespace

double band_top(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto high = values.begin() + static_cast<std::ptrdiff_t>(0.997 * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), high, values.end());
  return *high;
}

Canvas draw_field_figure(const Section& section, const Mesh& mesh, std::span<const double> a, const GapField& gap,
                         double rotor_angle, const FieldFigureOptions& options) {
  Canvas canvas(2 * margin + field_size + column, head + field_size + 16);
  const View view = view_of(section, options.window, rotor_angle, margin, head, field_size);
  const std::vector<Layer> layers = flux_layers(mesh, a, gap, rotor_angle);
  const Bands bands = choose_bands(layers, options.largest);
  canvas.begin_clip(margin - 1, head - 1, field_size + 2, field_size + 2);
  draw_bands(canvas, layers, bands, view);
  if (!options.hatched.empty()) hatch_triangles(canvas, section, mesh, options.hatched, rotor_angle, view);
  draw_outlines(canvas, section, rotor_angle, view);
  const double step = draw_flux_lines(canvas, disc_potential(mesh, a, gap, rotor_angle), options, view);
  canvas.end_clip();
  if (!options.window.whole) canvas.stroke(Path::rectangle(margin, head, field_size, field_size), {pale_ink, 0.6, {}});
  std::string remark = fmt::format("flux density and flux lines, rotor angle {:.4g}°", rotor_angle * 180 / pi_);
  if (step > 0) remark += fmt::format(", {:.3g} mWb/m between neighbouring lines", 1e3 * step);
  if (!options.hatched.empty()) remark += "; hatched: " + options.hatched_words;
  draw_title(canvas, {margin, 10}, canvas.width() - 2 * margin, options.title.empty() ? "field" : options.title,
             remark);
  draw_scale(canvas, bands, margin + field_size + 24, head + 40, 0.7 * field_size);
  return canvas;
}

}  // namespace polepitch
