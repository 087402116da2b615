#include "post/figure_curve.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

constexpr double left = 84, right = 24, panel_gap = 62;  // pt

struct Panel {
  std::string unit;
  std::vector<std::size_t> columns;
};

std::vector<Panel> panels_of(const ResultCurve& curve) {
  std::vector<Panel> panels;
  for (std::size_t c = 1; c < curve.columns.size(); ++c) {
    if (!curve.columns[c].drawn) continue;
    const std::string& unit = curve.columns[c].unit;
    auto it = std::find_if(panels.begin(), panels.end(), [&](const Panel& p) { return p.unit == unit; });
    if (it == panels.end()) it = panels.insert(panels.end(), {unit, {}});
    it->columns.push_back(c);
  }
  return panels;
}

/// "torque, N m (± 0.09)".
std::string label_with_error(const Column& column, const std::string& unit) {
  const std::string label = axis_label(column.name, unit);
  return column.error ? label + " (" + error_text(*column.error) + ")" : label;
}

std::string y_name(const ResultCurve& curve, const Panel& panel) {
  if (panel.columns.size() == 1) return label_with_error(curve.columns[panel.columns[0]], panel.unit);
  // What the names share up to an underscore: "torque" of torque_annulus and torque_work.
  std::string shared = curve.columns[panel.columns[0]].name;
  for (std::size_t c : panel.columns)
    while (!shared.empty() && (curve.columns[c].name + "_").rfind(shared + "_", 0) != 0)
      shared.erase(shared.rfind('_') == std::string::npos ? 0 : shared.rfind('_'));
  return shared.empty() && panel.unit.empty() ? "" : axis_label(shared, panel.unit);
}

void check(const ResultCurve& curve) {
  for (const Column& column : curve.columns)
    if (column.values.size() != curve.columns.front().values.size())
      throw std::logic_error("curve '" + curve.name + "': column '" + column.name + "' has another length");
}

Look bar_look(std::size_t n) {
  static const Hatch patterns[] = {Hatch::none, Hatch::rising, Hatch::falling, Hatch::crossed, Hatch::level};
  const Pen pen = line_pen(static_cast<int>(n));
  if (n == 0) return {pen.colour, Hatch::none, {}};
  return {from_lch(92, 12, 60.0 + 90.0 * static_cast<double>(n)), patterns[n % 5], pen.colour};
}

void draw_lines(Canvas& canvas, const PlotArea& plot, const ResultCurve& curve, const Panel& panel) {
  const auto& x = curve.columns.front().values;
  const std::size_t stride = std::max<std::size_t>(1, x.size() / 12);
  for (std::size_t n = panel.columns.size(); n-- > 0;) {
    const auto& y = curve.columns[panel.columns[n]].values;
    const Pen pen = line_pen(static_cast<int>(n));
    canvas.stroke(plot_line(plot, x, y), pen);
    // Markers of different lines stand at different points, so that equal curves still show both.
    for (std::size_t i = std::min(n * stride / 3, x.size() - 1); i < x.size(); i += stride)
      if (std::isfinite(y[i]) && (x.size() <= 40 || panel.columns.size() > 1))
        draw_marker(canvas, {plot.page_x(x[i]), plot.page_y(y[i])}, static_cast<int>(n), 3, pen.colour);
  }
}

void draw_bars(Canvas& canvas, const PlotArea& plot, const ResultCurve& curve, const Panel& panel) {
  const auto& x = curve.columns.front().values;
  double nearest = plot.x.high - plot.x.low;
  for (std::size_t i = 1; i < x.size(); ++i) nearest = std::min(nearest, std::abs(x[i] - x[i - 1]));
  const double room = 0.76 * nearest / (plot.x.high - plot.x.low) * plot.width;
  const auto count = static_cast<double>(panel.columns.size());
  const double width = std::clamp(room / count, 1.0, 14.0),
               foot = plot.page_y(std::clamp(0.0, plot.y.low, plot.y.high));
  for (std::size_t n = 0; n < panel.columns.size(); ++n) {
    const Look look = bar_look(n);
    const auto& y = curve.columns[panel.columns[n]].values;
    for (std::size_t i = 0; i < x.size(); ++i) {
      if (!std::isfinite(y[i])) continue;
      const double edge = plot.page_x(x[i]) + (static_cast<double>(n) - count / 2) * width;
      const Path box = Path::rectangle(edge, plot.page_y(y[i]), width, foot - plot.page_y(y[i]));
      canvas.fill(box, look.fill, Edges::smooth);
      canvas.hatch(box, look.hatch, {look.line, 0.7, {}}, 3);
      if (n > 0) canvas.stroke(box, {look.line, 0.6, {}});
    }
  }
}

std::vector<double> order_ticks(const ResultCurve& curve) {
  std::vector<double> ticks;
  for (double order : curve.columns.front().values)
    if (order == std::floor(order)) ticks.push_back(order);
  return ticks.size() > 26 ? std::vector<double>{} : ticks;
}

void draw_panel(Canvas& canvas, const ResultCurve& curve, const Panel& panel, double top, double height) {
  std::vector<double> all;
  for (std::size_t c : panel.columns)
    all.insert(all.end(), curve.columns[c].values.begin(), curve.columns[c].values.end());
  const auto& x = curve.columns.front().values;
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  const double room = curve.spectrum ? 1 : *high > *low ? 0 : 0.5;
  PlotArea plot{left,
                top,
                canvas.width() - left - right,
                height,
                {*low - room, *high + room},
                tidy_range(all, 6, curve.spectrum)};
  plot.x_ticks = 12;
  if (!curve.spectrum && spans_decades(x)) {
    plot.log_x = true;
    plot.x = {*low, *high};
    if (spans_decades(all)) {
      const auto [least, most] = std::minmax_element(all.begin(), all.end());
      plot.log_y = true;
      plot.y = {std::pow(10, std::floor(std::log10(*least))), std::pow(10, std::ceil(std::log10(*most)))};
    }
  }
  const Column& abscissa = curve.columns.front();
  const std::vector<double> ticks = curve.spectrum           ? order_ticks(curve)
                                    : abscissa.unit == "deg" ? degree_ticks(plot.x, 12)
                                                             : std::vector<double>{};
  draw_axes(canvas, plot, axis_label(abscissa.name, abscissa.unit), y_name(curve, panel), ticks, !curve.spectrum);
  curve.spectrum ? draw_bars(canvas, plot, curve, panel) : draw_lines(canvas, plot, curve, panel);
}

std::vector<LegendEntry> legend(const ResultCurve& curve, const Panel& panel) {
  std::vector<LegendEntry> entries;
  for (std::size_t n = 0; panel.columns.size() > 1 && n < panel.columns.size(); ++n) {
    LegendEntry entry{.words = label_with_error(curve.columns[panel.columns[n]], panel.unit),
                      .line = line_pen(static_cast<int>(n)),
                      .marker = static_cast<int>(n),
                      .look = bar_look(n)};
    entry.patch = curve.spectrum;
    entries.push_back(entry);
  }
  return entries;
}

/// The curve as far as its picture goes.
ResultCurve shortened(ResultCurve curve) {
  check(curve);
  if (curve.drawn_to <= 0 || curve.columns.empty()) return curve;
  const std::vector<double> x = curve.columns.front().values;
  for (Column& column : curve.columns) {
    std::size_t kept = 0;
    for (std::size_t i = 0; i < x.size(); ++i)
      if (x[i] <= curve.drawn_to) column.values[kept++] = column.values[i];
    column.values.resize(kept);
  }
  return curve;
}

}  // namespace

Canvas draw_curve_figure(const ResultCurve& whole, const std::string& machine_title) {
  const ResultCurve curve = shortened(whole);
  const std::vector<Panel> panels = panels_of(curve);
  const bool empty = panels.empty() || curve.columns.front().values.empty();
  const double height = panels.size() > 1 ? 200 : 330;
  double page = 50;
  for (const Panel& panel : panels)
    page += height + panel_gap + 8 + 18 * std::ceil(static_cast<double>(legend(curve, panel).size()) / 4);
  Canvas canvas(800, std::max(page - 10, 160.0));
  draw_title(canvas, {16, 10}, canvas.width() - 32, curve.title.empty() ? curve.name : curve.title,
             machine_title.empty() ? curve.study : machine_title + ": " + curve.study);
  double top = 50;
  for (const Panel& panel : panels) {
    if (empty) break;
    top = draw_legend(canvas, left, canvas.width() - right, top, legend(curve, panel)) + 8;
    draw_panel(canvas, curve, panel, top, height);
    top += height + panel_gap;
  }
  if (empty) canvas.text({left, 120}, "no points", {.size = 12, .colour = pale_ink});
  return canvas;
}

}  // namespace polepitch
