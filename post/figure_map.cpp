#include "post/figure_map.h"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <stdexcept>

#include "post/field_lines.h"
#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double left = 84, right = 120, height = 440, width = 800;  // pt

struct Surface {
  Triangulation mesh;  // nodes in page points
  std::vector<double> values;
};

/// Two triangles a cell of the grid; corners without a value leave a gap.
Surface surface_of(const ContourMap& map, const PlotArea& plot) {
  Surface s;
  std::vector<int> number(map.z.size(), -1);
  for (size_t j = 0; j < map.y.size(); ++j)
    for (size_t i = 0; i < map.x.size(); ++i) {
      const size_t k = map.at(i, j);
      if (!std::isfinite(map.z[k])) continue;
      number[k] = static_cast<int>(s.values.size());
      s.mesh.nodes.push_back({plot.page_x(map.x[i]), plot.page_y(map.y_of.empty() ? map.y[j] : map.y_of[k])});
      s.values.push_back(map.z[k]);
    }
  const auto add = [&](size_t a, size_t b, size_t c) {
    const std::array<int, 3> t{number[a], number[b], number[c]};
    if (t[0] >= 0 && t[1] >= 0 && t[2] >= 0) s.mesh.triangles.push_back(t);
  };
  for (size_t j = 0; j + 1 < map.y.size(); ++j)
    for (size_t i = 0; i + 1 < map.x.size(); ++i) {
      const size_t a = map.at(i, j), b = map.at(i + 1, j), c = map.at(i + 1, j + 1), d = map.at(i, j + 1);
      // Counter-clockwise on the page, whose y runs downwards; where a corner is missing the other diagonal serves.
      const bool other = number[a] < 0 || number[c] < 0;
      add(a, other ? d : c, b);
      other ? add(b, d, c) : add(a, d, c);
    }
  return s;
}

Path path_of(const std::vector<Polyline>& lines) {
  Path path;
  for (const Polyline& line : lines) {
    path.move(line.points.front());
    for (size_t i = 1; i < line.points.size(); ++i) path.line(line.points[i]);
    if (line.closed) path.close();
  }
  return path;
}

double length_of(const Polyline& line) {
  double length = 0;
  for (size_t i = 1; i < line.points.size(); ++i)
    length += std::hypot(line.points[i].x - line.points[i - 1].x, line.points[i].y - line.points[i - 1].y);
  return length;
}

double share_of(size_t band, size_t bands) {
  return bands < 2 ? 0 : static_cast<double>(band) / static_cast<double>(bands - 1);
}

void draw_bands(Canvas& canvas, const Surface& s, const std::vector<double>& levels) {
  const std::vector<unsigned char> border = border_edges(s.mesh);
  const double lowest = *std::min_element(s.values.begin(), s.values.end());
  for (size_t band = 0; band <= levels.size(); ++band) {
    const double from = band == 0 ? std::min(lowest, levels.front()) - 1 : levels[band - 1];
    canvas.fill(path_of(area_above(s.mesh, border, s.values, from)), sequential(share_of(band, levels.size() + 1)),
                Edges::smooth);
  }
}

/// The number on the longest piece of its line, upright, where no other number stands.
void draw_label(Canvas& canvas, const std::vector<Polyline>& lines, const std::string& words,
                std::vector<Point>& taken) {
  const auto longest = std::max_element(
      lines.begin(), lines.end(), [](const Polyline& a, const Polyline& b) { return length_of(a) < length_of(b); });
  if (longest == lines.end() || length_of(*longest) < 45) return;
  const std::vector<Point>& p = longest->points;
  for (double share : {0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85}) {
    const Point at = p[static_cast<size_t>(share * static_cast<double>(p.size() - 1))];
    const auto near = [&](const Point& o) { return std::abs(o.x - at.x) < 34 && std::abs(o.y - at.y) < 15; };
    if (std::any_of(taken.begin(), taken.end(), near)) continue;
    taken.push_back(at);
    canvas.text(at, words, {.size = 9, .colour = ink, .across = Anchor::middle, .halo = true});
    return;
  }
}

double step_of(const std::vector<double>& levels) {
  double step = HUGE_VAL;
  for (size_t i = 1; i < levels.size(); ++i) step = std::min(step, levels[i] - levels[i - 1]);
  return std::isfinite(step) ? step : 1;
}

void draw_contours(Canvas& canvas, const Surface& s, const std::vector<double>& levels) {
  const std::vector<std::vector<Polyline>> all = level_lines(s.mesh, s.values, levels);
  for (size_t k = 0; k < levels.size(); ++k) {
    Pen pen{ink, levels[k] == 0 ? 1.6 : 0.7, {}};
    if (levels[k] < 0) pen.dash = {5, 3};
    canvas.stroke(path_of(all[k]), pen);
  }
}

void draw_labels(Canvas& canvas, const Surface& s, const std::vector<double>& levels) {
  const std::vector<std::vector<Polyline>> all = level_lines(s.mesh, s.values, levels);
  std::vector<Point> taken;
  for (size_t k = 0; k < levels.size(); ++k) draw_label(canvas, all[k], tick_label(levels[k], step_of(levels)), taken);
}

/// An axis label in lines, none wider than `most` where a blank allows it; the unit's bracket stays whole.
std::vector<std::string> wrapped(const std::string& label, double most) {
  const size_t bracket = std::min(label.find(" ["), label.size());
  std::vector<std::string> words, lines;
  std::istringstream stream(label.substr(0, bracket));
  for (std::string word; std::getline(stream, word, ' ');) words.push_back(word);
  if (bracket < label.size()) words.push_back(label.substr(bracket + 1));
  for (const std::string& word : words) {
    const std::string longer = lines.empty() ? word : lines.back() + " " + word;
    if (lines.empty() || text_width(longer, {.size = 11}) > most)
      lines.push_back(word);
    else
      lines.back() = longer;
  }
  return lines;
}

void draw_scale(Canvas& canvas, const std::vector<double>& levels, const std::string& name, double x, double top) {
  constexpr double box = 20, whole = 0.75 * height;
  const double each = whole / static_cast<double>(levels.size() + 1);
  for (size_t band = 0; band <= levels.size(); ++band) {
    const double y = top + whole - static_cast<double>(band + 1) * each;
    canvas.fill(Path::rectangle(x, y, box, each), sequential(share_of(band, levels.size() + 1)));
    if (band == levels.size()) break;
    canvas.stroke(Path{}.move({x, y}).line({x + box + 4, y}), {ink, 0.6, {}});
    canvas.text({x + box + 8, y}, tick_label(levels[band], step_of(levels)), {.size = 10, .colour = ink});
  }
  canvas.stroke(Path::rectangle(x, top, box, whole), {ink, 0.8, {}});
  const std::vector<std::string> lines = wrapped(name, width - 6 - x);
  for (size_t i = 0; i < lines.size(); ++i) {
    const TextStyle style{.size = 11, .colour = ink};
    const double shrink = std::min(1.0, (width - 6 - x) / text_width(lines[i], style));
    canvas.text({x, top - 14 - 13 * static_cast<double>(lines.size() - 1 - i)}, lines[i],
                {.size = 11 * shrink, .colour = ink});
  }
}

std::vector<LegendEntry> legend(const ContourMap& map) {
  std::vector<LegendEntry> entries;
  for (size_t k = 0; k < map.lines.size(); ++k)
    entries.push_back(
        {.words = map.lines[k].name, .line = line_pen(static_cast<int>(k)), .marker = static_cast<int>(k)});
  return entries;
}

/// White under the line, so that it stands out of the bands; a mark at about every tenth of it.
void draw_overlays(Canvas& canvas, const PlotArea& plot, const ContourMap& map) {
  for (size_t k = 0; k < map.lines.size(); ++k) {
    const ConstructionLine& line = map.lines[k];
    Pen pen = line_pen(static_cast<int>(k));
    pen.width = 2;
    const Path path = plot_line(plot, line.x, line.y);
    canvas.stroke(path, {{1, 1, 1, 0.8}, 4.5, {}});
    canvas.stroke(path, pen);
    const size_t every = std::max<size_t>(1, line.x.size() / 8);
    for (size_t i = every / 2; i < line.x.size(); i += every)
      if (std::isfinite(line.x[i]) && std::isfinite(line.y[i]))
        draw_marker(canvas, {plot.page_x(line.x[i]), plot.page_y(line.y[i])}, static_cast<int>(k), 3.2, pen.colour);
  }
}

}  // namespace

std::vector<double> tidy_levels(const std::vector<double>& values) {
  double low = HUGE_VAL, high = -HUGE_VAL;
  for (double v : values)
    if (std::isfinite(v)) {
      low = std::min(low, v);
      high = std::max(high, v);
    }
  if (!(high > low)) return {};
  std::vector<double> levels;
  for (double tick : tidy_ticks({low, high}, 14))
    if (tick > low && tick < high) levels.push_back(tick);
  return levels;
}

Canvas draw_map_figure(const ContourMap& map, const std::string& machine_title) {
  const bool short_rows = !map.y_of.empty() && map.y_of.size() != map.z.size();
  if (short_rows || map.z.size() != map.x.size() * map.y.size() || map.x.size() < 2 || map.y.size() < 2)
    throw std::logic_error("contour map '" + map.name + "': its lists do not go together");
  const std::vector<LegendEntry> entries = legend(map);
  Canvas scratch(width, 100);
  const double top = 58 + draw_legend(scratch, left, width - right, 0, entries) + (entries.empty() ? 0 : 6);
  Canvas canvas(width, top + height + 56);
  draw_title(canvas, {16, 10}, width - 32, map.title, (machine_title.empty() ? "" : machine_title + ": ") + map.study);
  draw_legend(canvas, left, width - right, 50, entries);
  PlotArea plot{left, top, width - left - right, height, {map.x.front(), map.x.back()}, {map.y.front(), map.y.back()}};
  const Surface surface = surface_of(map, plot);
  const std::vector<double> levels = map.levels.empty() ? tidy_levels(map.z) : map.levels;
  draw_axes(canvas, plot, axis_label(map.x_name, map.x_unit), axis_label(map.y_name, map.y_unit), {}, false);
  canvas.begin_clip(plot.left, plot.top, plot.width, plot.height);
  if (!surface.values.empty() && !levels.empty()) {
    draw_bands(canvas, surface, levels);
    draw_contours(canvas, surface, levels);
  }
  draw_overlays(canvas, plot, map);
  if (!surface.values.empty() && !levels.empty()) draw_labels(canvas, surface, levels);
  canvas.end_clip();
  canvas.stroke(Path::rectangle(plot.left, plot.top, plot.width, plot.height), {ink, 0.9, {}});
  if (!levels.empty()) draw_scale(canvas, levels, axis_label(map.z_name, map.z_unit), width - right + 24, top + 40);
  return canvas;
}

}  // namespace polepitch
