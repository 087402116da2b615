#include "post/figure_construction.h"

#include <algorithm>
#include <cmath>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

using Stroke = ConstructionLine::Kind;

constexpr double left = 84, right = 30, height = 420;  // pt

std::vector<double> all_of(const Construction& c, std::vector<double> ConstructionLine::*column,
                           double ConstructionPoint::*coordinate) {
  std::vector<double> all = {0};
  for (const ConstructionLine& line : c.lines) all.insert(all.end(), (line.*column).begin(), (line.*column).end());
  for (const ConstructionPoint& point : c.points) all.push_back(point.*coordinate);
  return all;
}

/// Both ranges widened until one unit is equally long along both axes.
void equalise(PlotArea& plot) {
  const double across = (plot.x.high - plot.x.low) / plot.width, up = (plot.y.high - plot.y.low) / plot.height;
  Range& short_one = across > up ? plot.y : plot.x;
  const double length = across > up ? plot.height * across : plot.width * up;
  const double room = 0.5 * (length - (short_one.high - short_one.low));
  short_one = {short_one.low - room, short_one.high + room};
}

/// Pen of each line: curves and straight lines count through, thin lines of help look alike.
std::vector<Pen> pens_of(const Construction& c) {
  std::vector<Pen> pens;
  int count = 0;
  for (const ConstructionLine& line : c.lines)
    pens.push_back(line.kind == Stroke::help ? Pen{pale_ink, 0.8, {2, 3}} : line_pen(count++));
  return pens;
}

void draw_head(Canvas& canvas, Point from, Point to, const Colour& colour) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  if (length < 4) return;
  const double ux = (to.x - from.x) / length, uy = (to.y - from.y) / length, size = std::min(9.0, 0.6 * length);
  const Point foot{to.x - size * ux, to.y - size * uy};
  Path head;
  head.move(to).line({foot.x - 0.35 * size * uy, foot.y + 0.35 * size * ux});
  head.line({foot.x + 0.35 * size * uy, foot.y - 0.35 * size * ux}).close();
  canvas.fill(head, colour, Edges::smooth);
}

void draw_line(Canvas& canvas, const PlotArea& plot, const ConstructionLine& line, const Pen& pen) {
  canvas.stroke(plot_line(plot, line.x, line.y), pen);
  if (line.kind != Stroke::arrow || line.x.size() < 2) return;
  const size_t n = line.x.size();
  draw_head(canvas, {plot.page_x(line.x[n - 2]), plot.page_y(line.y[n - 2])},
            {plot.page_x(line.x[n - 1]), plot.page_y(line.y[n - 1])}, pen.colour);
}

struct Box {
  double left = 0, right = 0, top = 0, bottom = 0;
  bool meets(const Box& o) const { return left < o.right && o.left < right && top < o.bottom && o.top < bottom; }
};

/// The name in the first corner about its point where it meets neither a mark nor another name nor the frame.
void draw_name(Canvas& canvas, const PlotArea& plot, Point at, const std::string& name, std::vector<Box>& taken) {
  const TextStyle plain{.size = 12, .colour = ink, .bold = true, .halo = true};
  const double width = text_width(name, plain), away = 7, up = 9, half = 7;
  Box best;
  bool rightwards = true, found = false;
  for (const auto& [x, y] : {Point{1, -1}, {-1, -1}, {1, 1}, {-1, 1}, {1, -3}, {-1, -3}, {1, 3}, {-1, 3}}) {
    const double begin = x > 0 ? at.x + away : at.x - away - width, middle = at.y + y * up;
    const Box box{begin, begin + width, middle - half, middle + half};
    if (box.right > plot.left + plot.width || box.left < plot.left || box.top < plot.top ||
        box.bottom > plot.top + plot.height)
      continue;
    if (std::any_of(taken.begin(), taken.end(), [&](const Box& other) { return box.meets(other); })) continue;
    best = box;
    rightwards = x > 0;
    found = true;
    break;
  }
  if (!found) best = {at.x + away, at.x + away + width, at.y - up - half, at.y - up + half};
  TextStyle style = plain;
  style.across = rightwards ? Anchor::start : Anchor::end;
  canvas.text({rightwards ? best.left : best.right, 0.5 * (best.top + best.bottom)}, name, style);
  taken.push_back(best);
}

void draw_points(Canvas& canvas, const PlotArea& plot, const std::vector<ConstructionPoint>& points) {
  std::vector<Box> taken;
  for (size_t i = 0; i < points.size(); ++i) {
    const Point at{plot.page_x(points[i].x), plot.page_y(points[i].y)};
    draw_marker(canvas, at, static_cast<int>(i), 3.5, ink);
    taken.push_back({at.x - 4, at.x + 4, at.y - 4, at.y + 4});
  }
  for (const ConstructionPoint& point : points)
    draw_name(canvas, plot, {plot.page_x(point.x), plot.page_y(point.y)}, point.name, taken);
}

std::vector<LegendEntry> legend(const Construction& c, const std::vector<Pen>& pens) {
  std::vector<LegendEntry> entries;
  for (size_t i = 0; i < c.lines.size(); ++i)
    if (!c.lines[i].name.empty()) entries.push_back({.words = c.lines[i].name, .line = pens[i]});
  for (size_t i = 0; i < c.points.size(); ++i) {
    const ConstructionPoint& p = c.points[i];
    entries.push_back({.words = p.name + ": " + p.meaning, .line = {ink, 0, {}}, .marker = static_cast<int>(i)});
  }
  return entries;
}

double legend_height(const std::vector<LegendEntry>& entries) {
  Canvas scratch(800, 100);
  return draw_legend(scratch, left, 800 - right, 0, entries);
}

}  // namespace

Canvas draw_construction_figure(const Construction& c, const std::string& machine_title) {
  const std::vector<Pen> pens = pens_of(c);
  const std::vector<LegendEntry> entries = legend(c, pens);
  const double top = 58 + legend_height(entries);
  Canvas canvas(800, top + height + 56);
  const std::string remark = (machine_title.empty() ? "" : machine_title + ": ") + c.study + "; " + c.source;
  draw_title(canvas, {16, 10}, canvas.width() - 32, c.title, remark);
  draw_legend(canvas, left, canvas.width() - right, 50, entries);
  PlotArea plot{left,
                top,
                canvas.width() - left - right,
                height,
                tidy_range(all_of(c, &ConstructionLine::x, &ConstructionPoint::x), 10),
                tidy_range(all_of(c, &ConstructionLine::y, &ConstructionPoint::y), 6)};
  plot.x_ticks = 10;
  if (c.equal_scales) equalise(plot);
  draw_axes(canvas, plot, axis_label(c.x_name, c.x_unit), axis_label(c.y_name, c.y_unit));
  canvas.begin_clip(plot.left, plot.top, plot.width, plot.height);
  for (size_t i = c.lines.size(); i-- > 0;) draw_line(canvas, plot, c.lines[i], pens[i]);
  canvas.end_clip();
  draw_points(canvas, plot, c.points);
  return canvas;
}

}  // namespace polepitch
