#include "post/figure_phasors.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_arrow.h"
#include "post/figure_axes.h"
#include "post/figure_palette.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

constexpr double left = 40, top = 64, width = 720, height = 400, row = 17;  // pt

/// From a unit's numbers to the page; both units share the origin.
struct Frame {
  Point origin;
  double volt = 1, ampere = 1;  // pt per unit
  Point page(Complex value, const std::string& unit) const {
    const double scale = unit == "A" ? ampere : volt;
    return {origin.x + scale * value.real(), origin.y - scale * value.imag()};
  }
};

double longest(const PhasorDiagram& d, const std::string& unit) {
  double most = 0;
  for (const PhasorArrow& a : d.arrows)
    if (a.unit == unit) most = std::max(most, std::abs(a.value));
  return most;
}

/// The longest current is drawn three tenths as long as the longest voltage.
Frame frame_of(const PhasorDiagram& d) {
  const double volts = std::max(longest(d, "V"), 1e-300), amperes = std::max(longest(d, "A"), 1e-300);
  const double ratio = 0.3 * volts / amperes;  // V drawn as long as 1 A
  Range x{0, 0}, y{0, 0};
  for (const PhasorArrow& a : d.arrows)
    for (const Complex& end : {a.from, a.from + a.value}) {
      const Complex z = (a.unit == "A" ? ratio : 1) * end;
      x = {std::min(x.low, z.real()), std::max(x.high, z.real())};
      y = {std::min(y.low, z.imag()), std::max(y.high, z.imag())};
    }
  const double room = 0.08 * volts;
  x = {x.low - room, x.high + room};
  y = {y.low - room, y.high + room};
  const double scale = std::min(width / (x.high - x.low), height / (y.high - y.low));
  Frame f;
  f.volt = scale;
  f.ampere = scale * ratio;
  f.origin = {left + 0.5 * (width - scale * (x.high - x.low)) - scale * x.low,
              top + 0.5 * (height - scale * (y.high - y.low)) + scale * y.high};
  return f;
}

/// Voltages solid and thick from the origin, drops thinner, currents dashed.
Pen pen_of(const PhasorArrow& arrow, size_t index) {
  Pen pen = line_pen(static_cast<int>(index));
  pen.dash = arrow.unit == "A" ? std::vector<double>{7, 3}
             : index < 6       ? std::vector<double>{}
                               : std::vector<double>{14, 3, 2, 3};
  pen.width = std::abs(arrow.from) > 0 || arrow.unit == "A" ? 1.3 : 2;
  return pen;
}

/// Where a name stands: at this share of the arrow, beside it by `aside` pt (to the left of its direction).
struct NamePlace {
  double share, aside;
};

/// Drops at their middle; voltage, EMF and linkage, which nearly meet at their tips, on the shaft and on different
/// sides.
NamePlace place_of(const PhasorArrow& arrow) {
  if (std::abs(arrow.from) > 0) return {0.5, -13};
  if (arrow.name == "U") return {0.6, 11};
  if (arrow.name == "E_λ") return {0.6, -12};
  if (arrow.name == "E") return {0.75, 12};
  return {1, 0};
}

void draw_name(Canvas& canvas, const PhasorArrow& arrow, Point from, Point to, const Colour& colour) {
  const double dx = to.x - from.x, dy = to.y - from.y, length = std::hypot(dx, dy);
  const double ux = length > 0 ? dx / length : 1, uy = length > 0 ? dy / length : 0;
  const NamePlace place = place_of(arrow);
  const double past = place.share == 1 ? 12 : 0;
  const double side_x = uy * place.aside, side_y = -ux * place.aside;
  const Point at{from.x + place.share * dx + past * ux + side_x, from.y + place.share * dy + past * uy + side_y};
  const double across = place.share == 1 ? ux : side_x / 13;
  TextStyle style{.size = 12, .colour = colour, .bold = true, .halo = true};
  style.across = across > 0.4 ? Anchor::start : across < -0.4 ? Anchor::end : Anchor::middle;
  canvas.text(at, arrow.name, style);
}

void draw_axis(Canvas& canvas, const Frame& f, double angle, const std::string& name) {
  const double reach = std::min(width, height);
  const Point end{f.origin.x + reach * std::cos(angle), f.origin.y - reach * std::sin(angle)};
  canvas.begin_clip(left, top, width, height);
  canvas.stroke(Path().move(f.origin).line(end), {pale_ink, 0.8, {2, 3}});
  canvas.end_clip();
  const double inside = 0.46 * reach;
  canvas.text({f.origin.x + inside * std::cos(angle), f.origin.y - inside * std::sin(angle) - 8}, name,
              {.size = 11, .colour = pale_ink, .across = Anchor::middle, .halo = true});
}

void draw_table(Canvas& canvas, const PhasorDiagram& d, double y) {
  for (size_t k = 0; k < d.arrows.size(); ++k, y += row) {
    const PhasorArrow& a = d.arrows[k];
    const Pen pen = pen_of(a, k);
    canvas.stroke(Path().move({left, y}).line({left + 34, y}), pen);
    canvas.text({left + 44, y}, a.name, {.bold = true});
    canvas.text({left + 210, y}, fmt::format("{:.5g} {}", std::abs(a.value), a.unit), {.across = Anchor::end});
    canvas.text({left + 290, y}, fmt::format("{:.1f}°", std::arg(a.value) * 180 / 3.14159265358979323846),
                {.across = Anchor::end});
    canvas.text({left + 310, y}, a.meaning, {.colour = pale_ink});
  }
}

}  // namespace

Canvas draw_phasor_figure(const PhasorDiagram& d, const std::string& machine_title) {
  Canvas canvas(800, top + height + 56 + row * static_cast<double>(d.arrows.size()));
  draw_title(canvas, {16, 10}, canvas.width() - 32, d.title,
             machine_title.empty() ? d.study : machine_title + ": " + d.study);
  const Frame f = frame_of(d);
  if (d.q_axis) {
    draw_axis(canvas, f, *d.q_axis, "q");
    draw_axis(canvas, f, *d.q_axis - 0.5 * 3.14159265358979323846, "d");
  }
  for (size_t k = d.arrows.size(); k-- > 0;)
    draw_arrow(canvas, f.page(d.arrows[k].from, d.arrows[k].unit),
               f.page(d.arrows[k].from + d.arrows[k].value, d.arrows[k].unit), pen_of(d.arrows[k], k));
  for (size_t k = 0; k < d.arrows.size(); ++k)
    draw_name(canvas, d.arrows[k], f.page(d.arrows[k].from, d.arrows[k].unit),
              f.page(d.arrows[k].from + d.arrows[k].value, d.arrows[k].unit), pen_of(d.arrows[k], k).colour);
  const double under = top + height + 16;
  canvas.text(
      {left, under},
      fmt::format("{}. R.m.s. of a phase; 100 V are as long as {:.4g} A.", d.convention, 100 * f.volt / f.ampere),
      {.size = 10, .colour = pale_ink});
  draw_table(canvas, d, under + 24);
  return canvas;
}

}  // namespace polepitch
