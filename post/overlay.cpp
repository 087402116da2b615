#include "post/overlay.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double left = 84, right = 24, height = 360;  // pt

/// The overlay of that study and name, made by the first run that has it.
Overlay& overlay_for(std::vector<Overlay>& all, const Overlay& like) {
  const auto it = std::find_if(all.begin(), all.end(),
                               [&](const Overlay& o) { return o.study == like.study && o.name == like.name; });
  if (it != all.end()) return *it;
  all.push_back(like);
  return all.back();
}

/// The number of a line among those of its figure, by its name.
int line_number(const Overlay& overlay, const std::string& name) {
  int next = 0;
  for (const OverlayLine& l : overlay.lines) {
    if (l.label.size() > name.size() && l.label.ends_with(": " + name)) return l.line;
    next = std::max(next, l.line + 1);
  }
  return next;
}

void add_line(Overlay& overlay, const RunRecord& run, int number, const std::string& name, std::vector<double> x,
              std::vector<double> y) {
  overlay.lines.push_back({run.label + ": " + name, line_number(overlay, name), number, std::move(x), std::move(y)});
}

bool rises(const std::vector<double>& x) {
  return std::adjacent_find(x.begin(), x.end(), [](double a, double b) { return !(b > a); }) == x.end();
}

void add_loci(std::vector<Overlay>& all, const std::vector<RunRecord>& runs, int number) {
  const RunRecord& run = runs[static_cast<std::size_t>(number)];
  for (const ResultCurve& curve : run.results.curves) {
    if (curve.spectrum || curve.columns.empty() || rises(curve.columns.front().values)) continue;
    const Column& x = curve.columns.front();
    for (const Column& y : curve.columns) {
      if (&y == &x || !y.drawn) continue;
      const std::string title = curve.title + ": " + axis_label(y.name, y.unit);
      Overlay& overlay =
          overlay_for(all, {curve.study, curve.name + "_" + y.name, title, x.name, x.unit, y.name, y.unit, false, {}});
      add_line(overlay, run, number, axis_label(y.name, ""), x.values, y.values);
    }
  }
}

void add_constructions(std::vector<Overlay>& all, const std::vector<RunRecord>& runs, int number) {
  const RunRecord& run = runs[static_cast<std::size_t>(number)];
  for (const Construction& c : run.results.constructions) {
    Overlay& overlay =
        overlay_for(all, {c.study, c.name, c.title, c.x_name, c.x_unit, c.y_name, c.y_unit, c.equal_scales, {}});
    for (const ConstructionLine& line : c.lines)
      if (line.kind == ConstructionLine::Kind::curve) add_line(overlay, run, number, line.name, line.x, line.y);
  }
}

/// Voltages in one figure, currents in another: they have no scale in common.
void add_phasors(std::vector<Overlay>& all, const std::vector<RunRecord>& runs, int number) {
  const RunRecord& run = runs[static_cast<std::size_t>(number)];
  for (const PhasorDiagram& diagram : run.results.phasor_diagrams)
    for (const PhasorArrow& arrow : diagram.arrows) {
      const std::string title = (diagram.title.empty() ? "Phasors" : diagram.title) + " [" + arrow.unit + "]";
      Overlay& overlay = overlay_for(all, {diagram.study,
                                           diagram.name + "_" + arrow.unit,
                                           title,
                                           "real part",
                                           arrow.unit,
                                           "imaginary part",
                                           arrow.unit,
                                           true,
                                           {}});
      const std::complex<double> to = arrow.from + arrow.value;
      add_line(overlay, run, number, arrow.name, {arrow.from.real(), to.real()}, {arrow.from.imag(), to.imag()});
    }
}

Pen pen_of(const OverlayLine& l) {
  Pen pen = line_pen(l.line);
  pen.dash = line_pen(l.run).dash;
  return pen;
}

Range range_of(const Overlay& overlay, std::vector<double> OverlayLine::*values, int ticks) {
  std::vector<double> all;
  for (const OverlayLine& l : overlay.lines) all.insert(all.end(), (l.*values).begin(), (l.*values).end());
  return tidy_range(all, ticks);
}

/// One unit has the same length along both axes.
void equalise(PlotArea& plot) {
  const double across = (plot.x.high - plot.x.low) / plot.width, up = (plot.y.high - plot.y.low) / plot.height;
  Range& shorter = across > up ? plot.y : plot.x;
  const double length = across > up ? plot.height * across : plot.width * up;
  const double room = 0.5 * (length - (shorter.high - shorter.low));
  shorter = {shorter.low - room, shorter.high + room};
}

}  // namespace

std::vector<Overlay> overlays_of(const std::vector<RunRecord>& runs) {
  std::vector<Overlay> all;
  for (int r = 0; r < static_cast<int>(runs.size()); ++r) {
    add_loci(all, runs, r);
    add_constructions(all, runs, r);
    add_phasors(all, runs, r);
  }
  std::erase_if(all, [](const Overlay& o) {
    std::set<int> of;
    for (const OverlayLine& l : o.lines) of.insert(l.run);
    return of.size() < 2;
  });
  return all;
}

Canvas draw_overlay_figure(const Overlay& overlay) {
  std::vector<LegendEntry> entries;
  for (const OverlayLine& l : overlay.lines)
    entries.push_back({.words = l.label, .line = pen_of(l), .marker = l.line, .look = {}});
  Canvas scratch(800, 100);
  const double top = 58 + draw_legend(scratch, left, 800 - right, 0, entries);
  Canvas canvas(800, top + height + 56);
  draw_title(canvas, {16, 10}, canvas.width() - 32, overlay.title, overlay.study);
  draw_legend(canvas, left, canvas.width() - right, 50, entries);
  PlotArea plot{left,
                top,
                canvas.width() - left - right,
                height,
                range_of(overlay, &OverlayLine::x, 10),
                range_of(overlay, &OverlayLine::y, 6)};
  plot.x_ticks = 10;
  if (overlay.equal_scales) equalise(plot);
  draw_axes(canvas, plot, axis_label(overlay.x_name, overlay.x_unit), axis_label(overlay.y_name, overlay.y_unit));
  canvas.begin_clip(plot.left, plot.top, plot.width, plot.height);
  for (const OverlayLine& l : overlay.lines) canvas.stroke(plot_line(plot, l.x, l.y), pen_of(l));
  canvas.end_clip();
  for (const OverlayLine& l : overlay.lines)  // its end, by which lines are told apart in grey
    if (!l.x.empty() && std::isfinite(l.x.back()) && std::isfinite(l.y.back()))
      draw_marker(canvas, {plot.page_x(l.x.back()), plot.page_y(l.y.back())}, l.line, 3.5, pen_of(l).colour);
  return canvas;
}

}  // namespace polepitch
