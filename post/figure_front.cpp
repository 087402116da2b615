#include "post/figure_front.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

/// Designs far off the front would squeeze it: the plot shows it with as much around it again on each side.
Range around(const std::vector<double>& front, const std::vector<double>& others) {
  const auto [low, high] = std::minmax_element(front.begin(), front.end());
  const double room = *high - *low;
  std::vector<double> shown = front;
  for (const double v : others)
    if (room == 0 || (v >= *low - room && v <= *high + room)) shown.push_back(v);
  return tidy_range(shown, 6);
}

bool inside(const PlotArea& plot, Point p) {
  return p.x >= plot.x.low && p.x <= plot.x.high && p.y >= plot.y.low && p.y <= plot.y.high;
}

}  // namespace

Canvas draw_front_figure(const FrontFigure& figure) {
  std::vector<double> front_x, front_y, x, y;
  for (const Point& p : figure.front) front_x.push_back(p.x), front_y.push_back(p.y);
  for (const auto* list : {&figure.met, &figure.missed})
    for (const Point& p : *list) x.push_back(p.x), y.push_back(p.y);
  if (std::isfinite(figure.start.x)) x.push_back(figure.start.x), y.push_back(figure.start.y);
  if (front_x.empty()) front_x = x, front_y = y;

  Canvas canvas(620, 470);
  draw_title(canvas, {16, 10}, canvas.width() - 32, figure.title,
             "each number is a case file; the line joins all designs that none beats in both");
  const Pen line = line_pen(0);
  const Colour light = from_lch(68, 0, 0);
  const double top = draw_legend(canvas, 84, 600, 56,
                                 {{"front", line, 0},
                                  {"other designs that keep the constraints", {light, 0}, 0},
                                  {"designs that miss one", {light, 0}, 3},
                                  {"start", {ink, 0}, 1}});
  const PlotArea plot{84, top + 8, 510, canvas.height() - top - 70, around(front_x, x), around(front_y, y)};
  draw_axes(canvas, plot, axis_label(figure.x_name, figure.x_unit), axis_label(figure.y_name, figure.y_unit));
  const auto mark = [&](Point p, int shape, double size, Colour colour) {
    if (inside(plot, p)) draw_marker(canvas, {plot.page_x(p.x), plot.page_y(p.y)}, shape, size, colour);
  };
  for (const Point& p : figure.missed) mark(p, 3, 2.4, light);
  for (const Point& p : figure.met) mark(p, 0, 2.4, light);
  if (std::isfinite(figure.start.x)) mark(figure.start, 1, 4.4, ink);
  if (figure.front.empty()) return canvas;
  std::vector<double> line_x, line_y;
  for (const Point& p : figure.line.empty() ? figure.front : figure.line) line_x.push_back(p.x), line_y.push_back(p.y);
  canvas.stroke(plot_line(plot, line_x, line_y), line);
  for (std::size_t i = 0; i < figure.front.size(); ++i) {
    mark(figure.front[i], 0, 4, line.colour);
    const Point at{plot.page_x(figure.front[i].x) + 6, plot.page_y(figure.front[i].y) - 9};
    canvas.text(at, fmt::format("{}", i + 1), {.size = 10, .colour = ink, .halo = true});
  }
  return canvas;
}

}  // namespace polepitch
