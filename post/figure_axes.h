// What every chart shares: tidy ticks, framed plot areas with units on the axes, legends, captions.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "post/canvas.h"
#include "post/figure_palette.h"

namespace polepitch {

struct Range {
  double low = 0, high = 1;
};

/// Step 1, 2 or 5 times a power of ten that cuts `span` into about `count` parts.
double tidy_step(double span, int count);

/// Multiples of a tidy step inside the range, ascending.
std::vector<double> tidy_ticks(Range range, int count);

/// Powers of ten inside the positive range; with 2 and 5 times them where there are few.
std::vector<double> decade_ticks(Range range);

/// Whether values are all positive and span three decades or more: such axes are drawn in logarithms.
bool spans_decades(std::span<const double> values);

/// The same in degrees: steps that divide a circle (15, 30, 45 …).
std::vector<double> degree_ticks(Range range, int count);

/// The range widened to tidy ticks; a single value gets room on both sides. Non-finite values are passed over.
Range tidy_range(std::span<const double> values, int count, bool with_zero = false);

/// Number with the decimals that `step` needs, a true minus sign, no trailing noise.
std::string tick_label(double value, double step);

/// "torque [N m]"; a pure number has no bracket. Underscores of snake_case become blanks.
std::string axis_label(const std::string& name, const std::string& unit);

struct PlotArea {
  double left = 0, top = 0, width = 0, height = 0;  // pt
  Range x, y;
  int x_ticks = 8, y_ticks = 6;
  bool log_x = false, log_y = false;  // ranges are then positive

  double page_x(double value) const { return left + share(value, x, log_x) * width; }
  double page_y(double value) const { return top + height - share(value, y, log_y) * height; }
  static double share(double value, Range range, bool log);
};

/// Frame, grid, ticks and axis names; the zero line of y is drawn stronger. `x_values`: ticks to use instead of tidy
/// ones (empty: tidy); `grid`: lines across at them.
void draw_axes(Canvas& canvas, const PlotArea& plot, const std::string& x_name, const std::string& y_name,
               const std::vector<double>& x_values = {}, bool grid = true);

/// A line through the points in plot values; it breaks where a value is not finite.
Path plot_line(const PlotArea& plot, std::span<const double> x, std::span<const double> y);

/// Marker number `shape` (disc, square, triangle, diamond, then repeated) at a page point.
void draw_marker(Canvas& canvas, Point at, int shape, double size, Colour colour);

/// Entries side by side from `left`, wrapped before `right`; returns the page y under the last row.
struct LegendEntry {
  std::string words;
  Pen line;            // drawn when no fill is given
  int marker = -1;     // with the line
  bool patch = false;  // a filled box with `look`
  Look look{};
};
double draw_legend(Canvas& canvas, double left, double right, double top, const std::vector<LegendEntry>& entries);

/// Title in bold and a pale line under it; both shrink to the width given.
void draw_title(Canvas& canvas, Point at, double width, const std::string& title, const std::string& remark = "");

}  // namespace polepitch
