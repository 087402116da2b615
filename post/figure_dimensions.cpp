#include "post/figure_dimensions.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "post/figure_axes.h"
#include "post/figure_palette.h"
#include "post/figure_section.h"

namespace polepitch {
namespace {

constexpr double pi_ = 3.14159265358979323846;
constexpr double margin = 12, head = 50, column = 148, field_width = 360, field_height = 400;  // pt
constexpr double field_left = margin + column;
constexpr double page_width = 2 * (margin + column) + field_width;

Point rotated(Point p, double angle) {
  const double c = std::cos(angle), s = std::sin(angle);
  return {c * p.x - s * p.y, s * p.x + c * p.y};
}

Point middle(const Dimension& d) {
  return {(d.from.x + d.to.x) / 2, (d.from.y + d.to.y) / 2};
}

struct Box {
  double left = 1e300, right = -1e300, low = 1e300, high = -1e300;

  void add(Point p) {
    left = std::min(left, p.x), right = std::max(right, p.x);
    low = std::min(low, p.y), high = std::max(high, p.y);
  }
};

// The middle one of the angles at which things are measured stands upright.
double upright(const std::vector<Dimension>& list) {
  std::vector<double> angles;
  for (const Dimension& d : list)
    if (!d.diameter) angles.push_back(std::atan2(middle(d).y, middle(d).x));
  if (angles.empty()) return pi_ / 2;
  std::sort(angles.begin(), angles.end());
  return (angles[(angles.size() - 1) / 2] + angles[angles.size() / 2]) / 2;
}

// What is measured decides what is shown: the lines, and the top of every circle. Outside of the machine, whose radius
// is `outermost`, there is nothing to see: room that is left goes to its inside.
View view_of_dimensions(const std::vector<Dimension>& list, double outermost) {
  View view;
  view.turn = pi_ / 2 - upright(list);
  Box box;
  for (const Dimension& d : list)
    if (d.diameter)
      box.add({0, length_of(d) / 2});
    else
      box.add(rotated(d.from, view.turn)), box.add(rotated(d.to, view.turn));
  const double width = std::max(1.3 * (box.right - box.left), 1e-6);
  const double height = std::max(1.12 * (box.high - box.low), 1e-6);
  view.scale = std::min(field_width / width, field_height / height);
  double above = field_height / 2 - view.scale * (box.high - box.low) / 2;
  if (box.high >= outermost) above = std::min(above, 0.06 * field_height);
  view.axis = {field_left + field_width / 2 - view.scale * (box.left + box.right) / 2,
               head + above + view.scale * box.high};
  return view;
}

// A point of the circle inside the drawing, as near to its side edge as the circle comes.
Point circle_anchor(const View& view, double radius, bool left) {
  const double r = radius * view.scale, edge = 0.46 * field_width, bottom = head + field_height - 6;
  Point at{view.axis.x, view.axis.y - r};
  for (double reach = 0; reach <= edge; reach += 2) {
    const double x = field_left + field_width / 2 + (left ? -reach : reach), away = x - view.axis.x;
    if (std::abs(away) > 0.9 * r) continue;
    const double y = view.axis.y - std::sqrt(r * r - away * away);
    if (y < bottom) at = {x, y};
  }
  return at;
}

// Labels from the top down, at least their height apart, all on the page.
void spread(std::vector<DimensionLabel*> labels) {
  std::sort(labels.begin(), labels.end(), [](auto* a, auto* b) { return a->anchor.y < b->anchor.y; });
  const double half = dimension_label_height / 2;
  double least = head + half;
  for (DimensionLabel* l : labels) l->y = std::max(l->anchor.y, least), least = l->y + dimension_label_height;
  double most = head + field_height - half;
  for (auto l = labels.rbegin(); l != labels.rend(); ++l)
    (*l)->y = std::min((*l)->y, most), most = (*l)->y - dimension_label_height;
}

void draw_head(Canvas& canvas, Point tip, Point towards) {
  const double length = std::hypot(towards.x - tip.x, towards.y - tip.y);
  if (length <= 0) return;
  const Point u{(towards.x - tip.x) / length, (towards.y - tip.y) / length};
  Path head_path;
  head_path.move(tip);
  for (double hand : {1.6, -1.6}) head_path.line({tip.x + 6 * u.x - hand * u.y, tip.y + 6 * u.y + hand * u.x});
  canvas.fill(head_path.close(), ink, Edges::smooth);
}

void draw_stroke(Canvas& canvas, Point a, Point b, double width) {
  Path path;
  canvas.stroke(path.move(a).line(b), {{1, 1, 1, 0.85}, width + 2.2, {}});
  canvas.stroke(std::move(path), {ink, width, {}});
}

// Arrows inside the length, or from outside where it is short.
void draw_measure(Canvas& canvas, Point a, Point b) {
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  if (length <= 0) return;
  const Point u{(b.x - a.x) / length, (b.y - a.y) / length};
  constexpr double tail = 13;
  const bool inside = length > 18;
  const double reach = inside ? 0 : tail;
  draw_stroke(canvas, {a.x - reach * u.x, a.y - reach * u.y}, {b.x + reach * u.x, b.y + reach * u.y}, 0.9);
  draw_head(canvas, a, {a.x + (inside ? u.x : -u.x), a.y + (inside ? u.y : -u.y)});
  draw_head(canvas, b, {b.x - (inside ? u.x : -u.x), b.y - (inside ? u.y : -u.y)});
}

void draw_label(Canvas& canvas, const DimensionLabel& l) {
  const double x = l.left ? field_left - 10 : field_left + field_width + 10;
  const Anchor across = l.left ? Anchor::end : Anchor::start;
  const std::string name = l.dimension.parameter.empty() ? "(" + l.dimension.name + ")" : l.dimension.name;
  canvas.text({x, l.y - 6.5}, name, {.size = 10, .colour = pale_ink, .across = across});
  canvas.text({x, l.y + 6.5}, dimension_text(l.dimension), {.size = 11, .colour = ink, .across = across, .bold = true});
}

void draw_leader(Canvas& canvas, const DimensionLabel& l) {
  draw_stroke(canvas, {l.left ? field_left - 6 : field_left + field_width + 6, l.y}, l.anchor, 0.5);
  if (l.dimension.diameter)
    draw_head(canvas, l.anchor, {l.left ? field_left : field_left + field_width, l.y});
  else
    canvas.fill(Path::circle(l.anchor, 1.8), ink, Edges::smooth);
}

}  // namespace

std::string dimension_text(const Dimension& d) {
  return fmt::format("{}{:.4g} mm", d.diameter ? "\u2300 " : "", 1e3 * length_of(d));
}

DimensionLayout lay_out_dimensions(const std::vector<Dimension>& dimensions, Side side) {
  std::vector<Dimension> mine;
  double outermost = 0;
  for (const Dimension& d : dimensions) {
    if (d.side == side) mine.push_back(d);
    if (d.diameter) outermost = std::max(outermost, length_of(d) / 2);
  }
  const View view = view_of_dimensions(mine, outermost);
  DimensionLayout layout{view.scale, view.axis, view.turn, {}};
  bool left = true;
  for (const Dimension& d : mine) {
    const Point at = d.diameter ? circle_anchor(view, length_of(d) / 2, left) : view(middle(d));
    layout.labels.push_back({d, left, at, 0});
    if (d.diameter) left = !left;
  }
  std::vector<DimensionLabel*> sorted;
  for (DimensionLabel& l : layout.labels) sorted.push_back(&l);
  std::stable_sort(sorted.begin(), sorted.end(), [](auto* a, auto* b) { return a->anchor.x < b->anchor.x; });
  std::vector<DimensionLabel*> columns[2];
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    sorted[i]->left = i < (sorted.size() + 1) / 2;
    columns[sorted[i]->left ? 0 : 1].push_back(sorted[i]);
  }
  for (auto& labels : columns) spread(labels);
  return layout;
}

Canvas draw_dimensions_figure(const Section& section, const std::vector<Dimension>& dimensions, Side side,
                              const std::string& title) {
  const DimensionLayout layout = lay_out_dimensions(dimensions, side);
  Canvas canvas(page_width, head + field_height + 30);
  const std::string what = side == Side::stator ? "dimensions of the stator" : "dimensions of the rotor";
  draw_title(canvas, {margin, 8}, page_width - 2 * margin, title.empty() ? what : title, title.empty() ? "" : what);
  const View view{layout.scale, layout.axis, layout.turn};
  canvas.begin_clip(field_left, head, field_width, field_height);
  draw_section_parts(canvas, section, view, 0);
  canvas.end_clip();
  canvas.stroke(Path::rectangle(field_left, head, field_width, field_height), {pale_ink, 0.6, {}});
  for (const DimensionLabel& l : layout.labels) draw_leader(canvas, l);
  for (const DimensionLabel& l : layout.labels)
    if (!l.dimension.diameter) draw_measure(canvas, view(l.dimension.from), view(l.dimension.to));
  for (const DimensionLabel& l : layout.labels) draw_label(canvas, l);
  canvas.text({margin, head + field_height + 16},
              "Names are keys of the case file; what stands in brackets follows from several of them.",
              {.size = 9.5, .colour = pale_ink});
  return canvas;
}

}  // namespace polepitch
