#include "post/figure_axes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace polepitch {

double tidy_step(double span, int count) {
  const double raw = span / std::max(count, 1);
  if (!(raw > 0) || !std::isfinite(raw)) return 1;
  const double power = std::pow(10, std::floor(std::log10(raw)));
  for (double factor : {1.0, 2.0, 5.0})
    if (raw <= factor * power * 1.0000001) return factor * power;
  return 10 * power;
}

std::vector<double> tidy_ticks(Range range, int count) {
  const double step = tidy_step(range.high - range.low, count);
  std::vector<double> ticks;
  for (double k = std::ceil(range.low / step - 1e-6); k * step <= range.high + 1e-6 * step; ++k)
    ticks.push_back(k == 0 ? 0 : k * step);
  return ticks;
}

std::vector<double> degree_ticks(Range range, int count) {
  for (double step : {0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 45.0, 60.0, 90.0}) {
    if ((range.high - range.low) / step > count + 0.5) continue;
    std::vector<double> ticks;
    for (double k = std::ceil(range.low / step - 1e-6); k * step <= range.high + 1e-6 * step; ++k)
      ticks.push_back(k == 0 ? 0 : k * step);
    if (ticks.size() >= 4) return ticks;
    break;
  }
  return tidy_ticks(range, count);
}

Range tidy_range(std::span<const double> values, int count, bool with_zero) {
  double low = with_zero ? 0 : 1e300, high = with_zero ? 0 : -1e300;
  for (double v : values)
    if (std::isfinite(v)) low = std::min(low, v), high = std::max(high, v);
  if (low > high) return {0, 1};
  // A spread of rounding noise on a constant is no spread: the axis would show fifteen digits.
  if (high - low <= 1e-9 * std::max(std::abs(low), std::abs(high)) || high == low) {
    const double room = low == 0 ? 1 : 0.1 * std::abs(low);
    low -= room, high += room;
  }
  const double step = tidy_step(high - low, count);
  return {std::floor(low / step + 1e-9) * step, std::ceil(high / step - 1e-9) * step};
}

double PlotArea::share(double value, Range range, bool log) {
  if (log) return std::log(value / range.low) / std::log(range.high / range.low);
  return (value - range.low) / (range.high - range.low);
}

std::vector<double> decade_ticks(Range range) {
  const double decades = std::log10(range.high / range.low);
  std::vector<double> ticks;
  for (int power = static_cast<int>(std::floor(std::log10(range.low) - 1e-9)); power <= std::log10(range.high) + 1e-9;
       ++power)
    for (double digit : {1.0, 2.0, 5.0}) {
      const double tick = digit * std::pow(10.0, power);
      if ((digit == 1 || decades < 2.5) && tick >= range.low * (1 - 1e-9) && tick <= range.high * (1 + 1e-9))
        ticks.push_back(tick);
    }
  return ticks;
}

bool spans_decades(std::span<const double> values) {
  double low = INFINITY, high = 0;
  for (double v : values) {
    if (!std::isfinite(v)) continue;
    if (v <= 0) return false;
    low = std::min(low, v);
    high = std::max(high, v);
  }
  return high >= 999 * low && low < INFINITY;
}

std::string tick_label(double value, double step) {
  if (std::abs(value) < 1e-9 * step) value = 0;
  const double size = std::max(std::abs(value), step);
  std::string text;
  if (size >= 1e6 || step < 1e-4) {
    text = fmt::format("{:.6g}", value);
  } else {
    const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
    text = fmt::format("{:.{}f}", value, decimals);
  }
  if (text.starts_with('-')) text = "\u2212" + text.substr(1);
  return text;
}

std::string axis_label(const std::string& name, const std::string& unit) {
  std::string words = name;
  // "B_r", "X_d_apparent" and "psi_d" are symbols, "rotor_angle" is words.
  // A dotted path is a name as it stands in a file.
  if (words.find('_') > 3 && words.find('.') == std::string::npos) std::replace(words.begin(), words.end(), '_', ' ');
  return unit.empty() || unit == "1" ? words : words + " [" + unit + "]";
}

namespace {

void draw_grid(Canvas& canvas, const PlotArea& plot, const std::vector<double>& xs, const std::vector<double>& ys) {
  for (double x : xs) {
    Path line;
    line.move({plot.page_x(x), plot.top}).line({plot.page_x(x), plot.top + plot.height});
    canvas.stroke(line, {grid_ink, 0.6, {}});
  }
  for (double y : ys) {
    Path line;
    line.move({plot.left, plot.page_y(y)}).line({plot.left + plot.width, plot.page_y(y)});
    const bool zero = y == 0 && plot.y.low < 0;
    canvas.stroke(line, {zero ? pale_ink : grid_ink, zero ? 0.8 : 0.6, {}});
  }
}

}  // namespace

void draw_axes(Canvas& canvas, const PlotArea& plot, const std::string& x_name, const std::string& y_name,
               const std::vector<double>& x_values, bool grid) {
  const std::vector<double> xs = !x_values.empty() ? x_values
                                 : plot.log_x      ? decade_ticks(plot.x)
                                                   : tidy_ticks(plot.x, plot.x_ticks);
  const std::vector<double> ys = plot.log_y ? decade_ticks(plot.y) : tidy_ticks(plot.y, plot.y_ticks);
  draw_grid(canvas, plot, grid ? xs : std::vector<double>{}, ys);
  canvas.stroke(Path::rectangle(plot.left, plot.top, plot.width, plot.height), {ink, 0.9, {}});
  const double x_step = xs.size() > 1 ? xs[1] - xs[0] : 1, y_step = ys.size() > 1 ? ys[1] - ys[0] : 1;
  const TextStyle below{.size = 10, .colour = ink, .across = Anchor::middle, .along = Anchor::start};
  const TextStyle beside{.size = 10, .colour = ink, .across = Anchor::end};
  double widest = 0;
  for (double x : xs)
    canvas.text({plot.page_x(x), plot.top + plot.height + 5}, tick_label(x, plot.log_x ? x : x_step), below);
  for (double y : ys) {
    const std::string words = tick_label(y, plot.log_y ? y : y_step);
    widest = std::max(widest, text_width(words, beside));
    canvas.text({plot.left - 5, plot.page_y(y)}, words, beside);
  }
  canvas.text({plot.left + plot.width / 2, plot.top + plot.height + 22}, x_name,
              {.size = 11, .colour = ink, .across = Anchor::middle, .along = Anchor::start});
  canvas.text(
      {plot.left - widest - 14, plot.top + plot.height / 2}, y_name,
      {.size = 11, .colour = ink, .across = Anchor::middle, .along = Anchor::end, .angle = -1.5707963267948966});
}

Path plot_line(const PlotArea& plot, std::span<const double> x, std::span<const double> y) {
  Path path;
  bool down = false;
  for (std::size_t i = 0; i < std::min(x.size(), y.size()); ++i) {
    if (!std::isfinite(x[i]) || !std::isfinite(y[i])) {
      down = false;
      continue;
    }
    const Point p{plot.page_x(x[i]), plot.page_y(y[i])};
    down ? path.line(p) : path.move(p);
    down = true;
  }
  return path;
}

void draw_marker(Canvas& canvas, Point at, int shape, double size, Colour colour) {
  Path path;
  const double s = size;
  switch (shape % 4) {
    case 0:
      path = Path::circle(at, s);
      break;
    case 1:
      path = Path::rectangle(at.x - 0.9 * s, at.y - 0.9 * s, 1.8 * s, 1.8 * s);
      break;
    case 2:
      path.move({at.x - 1.1 * s, at.y + 0.8 * s}).line({at.x + 1.1 * s, at.y + 0.8 * s}).line({at.x, at.y - 1.2 * s});
      path.close();
      break;
    default:
      path.move({at.x - 1.2 * s, at.y}).line({at.x, at.y - 1.2 * s}).line({at.x + 1.2 * s, at.y});
      path.line({at.x, at.y + 1.2 * s}).close();
  }
  canvas.fill(path, colour, Edges::smooth);
  canvas.stroke(std::move(path), {{1, 1, 1}, 0.6, {}});
}

double draw_legend(Canvas& canvas, double left, double right, double top, const std::vector<LegendEntry>& entries) {
  constexpr double row = 18, sample = 30;
  const TextStyle style{.size = 10, .colour = ink};
  double x = left, y = top + row / 2;
  for (const LegendEntry& entry : entries) {
    const double width = sample + 6 + text_width(entry.words, style) + 18;
    if (x > left && x + width - 18 > right) x = left, y += row;
    if (entry.patch) {
      const Path box = Path::rectangle(x, y - 6.5, sample, 13);
      canvas.fill(box, entry.look.fill);
      canvas.hatch(box, entry.look.hatch, {entry.look.line, 0.9, {}});
      canvas.stroke(box, {ink, 0.6, {}});
    } else {
      Path line;
      line.move({x, y}).line({x + sample, y});
      canvas.stroke(std::move(line), entry.line);
      if (entry.marker >= 0) draw_marker(canvas, {x + sample / 2, y}, entry.marker, 3.2, entry.line.colour);
    }
    canvas.text({x + sample + 6, y}, entry.words, style);
    x += width;
  }
  return entries.empty() ? top : y + row / 2;
}

void draw_title(Canvas& canvas, Point at, double width, const std::string& title, const std::string& remark) {
  const auto fit = [&](TextStyle style, const std::string& words) {
    const double full = text_width(words, style);
    if (full > width) style.size *= width / full;
    return style;
  };
  canvas.text(at, title, fit({.size = 13, .colour = ink, .along = Anchor::start, .bold = true}, title));
  if (!remark.empty())
    canvas.text({at.x, at.y + 18}, remark, fit({.size = 10, .colour = pale_ink, .along = Anchor::start}, remark));
}

}  // namespace polepitch
