// A slot from a drawing: its outline as it lies in the machine, symmetric about a radius.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "geometry/drawn_side.h"
#include "geometry/pole_parts.h"
#include "geometry/slot_shapes.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

[[noreturn]] void refuse(const DxfDrawing& drawing, int part, Point at, const std::string& words,
                         const std::string& hint) {
  throw DrawingError(drawing, {drawing_fault(drawing, DrawingFault::Kind::no_symmetry, part, at, words, hint)});
}

// The slot's lines: those of the wanted layers, without the surface at the gap.
std::vector<SketchCurve> slot_curves(const SlotSite& site, double snap) {
  std::vector<SketchCurve> curves;
  const Values& v = site.block->values;
  const DxfDrawing& drawing = *site.block->drawing;
  for (const SketchCurve& c : drawing.sketch.curves) {
    const std::string& layer = drawing.entities[static_cast<std::size_t>(c.part)].layer;
    const auto fits = [&](const std::string& pattern) { return fits_pattern(pattern, layer); };
    if (v.has("layers") && std::none_of(v.texts("layers").begin(), v.texts("layers").end(), fits)) continue;
    const bool surface = c.arc && std::hypot(c.centre.x, c.centre.y) <= 2 * snap &&
                         std::abs(std::hypot(c.start.x, c.start.y) - site.radius) <= 2 * snap;
    if (!surface) curves.push_back(c);
  }
  return curves;
}

// The radius that the slot is symmetric about: the middle of the angles that it covers.
double slot_axis(const std::vector<SketchCurve>& curves) {
  const double first = std::atan2(curves[0].start.y, curves[0].start.x);
  double low = 0, high = 0;
  for (const SketchCurve& c : curves)
    for (int i = 0; i <= 16; ++i) {
      const double share = i / 16.0;
      const Point p = c.arc ? turned(c.start, share * sweep(c), c.centre) : c.start + share * (c.end - c.start);
      const double angle = angle_between(first, std::atan2(p.y, p.x));
      low = std::min(low, angle), high = std::max(high, angle);
    }
  return first + (low + high) / 2;
}

void check_symmetry(const DxfDrawing& drawing, const std::vector<SketchCurve>& curves, double axis, double snap) {
  for (const SketchCurve& c : curves)
    for (double share : {0.0, 0.3, 0.5, 0.7, 1.0}) {
      Point p = c.arc ? turned(c.start, share * sweep(c), c.centre) : c.start + share * (c.end - c.start);
      p.y = -p.y;
      const bool met = std::any_of(curves.begin(), curves.end(),
                                   [&](const SketchCurve& other) { return distance_to(other, p) <= 10 * snap; });
      if (met) continue;
      refuse(
          drawing, c.part, turned({p.x, -p.y}, axis), "has no mirror image on the slot's other side",
          "a drawn slot is symmetric about a radius; give other slots as a drawn stator or rotor, type = \"drawing\"");
    }
}

// What lies on the side y ≥ 0, in pieces.
std::vector<SketchCurve> right_half(const std::vector<SketchCurve>& curves, double snap) {
  std::vector<SketchCurve> half;
  const SketchCurve line{{-1e3, 0}, {1e3, 0}, false, {}, true, 0};
  for (const SketchCurve& c : curves) {
    std::vector<std::pair<double, Point>> cuts;
    for (Point p : meetings(c, line, 1e-12))
      if (distance(p, c.start) > 2 * snap && distance(p, c.end) > 2 * snap) cuts.push_back({along(c, p), {p.x, 0}});
    std::sort(cuts.begin(), cuts.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    cuts.push_back({0, c.end});
    Point from = c.start;
    for (const auto& [position, to] : cuts) {
      SketchCurve piece = c;
      piece.start = from, piece.end = to;
      from = to;
      if (middle(piece).y > snap) half.push_back(piece);
    }
  }
  for (SketchCurve& c : half)
    for (Point* p : {&c.start, &c.end})
      if (std::abs(p->y) <= 2 * snap) p->y = 0;
  return half;
}

double depth_of(const SlotSite& site, Point p) {
  return site.direction * (p.x - site.radius);
}

// Chains the pieces from the mouth, or the axis under a bridge, to the axis at the bottom.
SlotOutline chained(const SlotSite& site, std::vector<SketchCurve> half, double axis, double snap) {
  const DxfDrawing& drawing = *site.block->drawing;
  SlotOutline outline;
  // The end nearest to the surface that belongs to one piece only.
  std::optional<Point> begin;
  for (const SketchCurve& c : half)
    for (Point p : {c.start, c.end}) {
      int uses = 0;
      for (const SketchCurve& other : half)
        uses += (distance(other.start, p) <= 2 * snap) + (distance(other.end, p) <= 2 * snap);
      if (uses == 1 && (!begin || depth_of(site, p) < depth_of(site, *begin))) begin = p;
    }
  if (!begin) refuse(drawing, -1, {}, "the slot has no end at the gap or on its axis", "draw one outline");
  outline.open = begin->y > 2 * snap;
  outline.points.push_back({depth_of(site, *begin), begin->y, "file"});
  Point at = *begin;
  while (!half.empty()) {
    const auto next = std::find_if(half.begin(), half.end(), [&](const SketchCurve& c) {
      return distance(c.start, at) <= 2 * snap || distance(c.end, at) <= 2 * snap;
    });
    if (next == half.end())
      refuse(drawing, half[0].part, turned(middle(half[0]), axis), "is not part of the slot's outline",
             "name the outline's layer with `layers`, and draw nothing else on it");
    SketchCurve c = distance(next->start, at) <= 2 * snap ? *next : reversed(*next);
    half.erase(next);
    const double from = outline.points.back().depth, to = depth_of(site, c.end);
    if (to < from - 2 * snap)
      refuse(drawing, c.part, turned(middle(c), axis), "runs back towards the gap",
             "the outline of a drawn slot goes deeper from point to point; give others as type = \"drawing\"");
    OutlinePoint point{std::max(to, from), c.end.y, "file"};
    if (c.arc) {
      point.arc = true;
      point.centre_depth = depth_of(site, c.centre), point.centre_half = c.centre.y;
      point.hollow = c.ccw == (site.direction > 0);
    }
    outline.points.push_back(point);
    at = c.end;
  }
  if (outline.points.back().half > 2 * snap)
    refuse(drawing, -1, turned(at, axis), "the slot's outline does not reach its axis at the bottom", "close it there");
  outline.points.back().half = 0;
  return outline;
}

void place_body(const SlotSite& site, SlotOutline& outline) {
  const auto& p = outline.points;
  double widest = 0;
  for (int i = 0; i <= 200; ++i)
    widest = std::max(widest, half_width(outline, p.front().depth + i / 200.0 * (p.back().depth - p.front().depth)));
  std::size_t top = 0;
  while (top + 2 < p.size() && p[top].half < 0.6 * widest) ++top;
  if (p[top].half < 0.6 * widest) top = outline.open && p.size() > 2 ? 1 : 0;  // a round slot behind its opening
  const Values& v = site.block->values;
  outline.body_top = v.has("body_depth") ? v.number("body_depth") : p[top].depth;
  outline.body_bottom = p.back().depth;
  outline.tooth_top = outline.body_top + 1e-3 * (outline.body_bottom - outline.body_top);
  outline.tooth_bottom = p[p.size() - 2].half > 0.3 * widest && p.back().arc ? p[p.size() - 2].depth : p.back().depth;
  if (outline.tooth_bottom <= outline.tooth_top) outline.tooth_bottom = outline.body_bottom;
  outline.depth_parameter = "file";
}

SlotOutline outline(const SlotSite& site, Faults& faults) {
  const double snap = site.block->values.number("snap");
  std::vector<SketchCurve> curves = slot_curves(site, snap);
  SlotOutline none;
  none.points = {{0, 1e-3, "file"}, {1e-3, 1e-3, "file"}, {1e-3, 0, "file"}};
  none.body_bottom = none.tooth_bottom = 1e-3;
  none.depth_parameter = "file";
  const auto at_fault = [&](const std::string& key, const std::string& words, const std::string& hint) {
    faults.push_back({site.block->values.place(key), words, hint});
    return none;
  };
  if (curves.empty())
    return at_fault("file", fmt::format("{}.file: nothing is drawn on the layers that are taken", site.block->path),
                    "check `layers`");
  const double axis = slot_axis(curves);
  for (SketchCurve& c : curves)
    c.start = turned(c.start, -axis), c.end = turned(c.end, -axis), c.centre = turned(c.centre, -axis);
  check_symmetry(*site.block->drawing, curves, axis, snap);
  SlotOutline found = chained(site, right_half(curves, snap), axis, snap);
  const double off =
      site.direction *
      (std::hypot(found.points[0].depth * site.direction + site.radius, found.points[0].half) - site.radius);
  if (found.open && std::abs(off) > 5 * snap)
    return at_fault(
        "file",
        fmt::format("{}.file: the drawn slot ends {} {} the surface {}, {} from the axis", site.block->path,
                    millimetres(std::abs(off)), off > 0 ? "before" : "beyond", site.surface, millimetres(site.radius)),
        "draw it where it lies in the machine: the axis is the origin of the drawing");
  place_body(site, found);
  if (found.body_top < found.points.front().depth - snap || found.body_top >= found.body_bottom)
    return at_fault("body_depth", said(*site.block, "body_depth") + " lies outside of the drawn slot",
                    fmt::format("{} to {}", rounded_up(std::max(found.points.front().depth, 0.0)),
                                rounded_down(found.body_bottom)));
  return found;
}

}  // namespace

const SlotType& drawn_slot() {
  static const SlotType type = [] {
    std::vector<Parameter> table = drawing_file_parameters();
    table.push_back(
        optional_length("body_depth", 0, 500,
                        "Depth below the gap surface where the conductors begin; the first corner where the "
                        "slot is wide when it is not given."));
    CatalogueEntry entry{
        "drawing", "Slot from a drawing of its outline, symmetric, in its place about the axis at the origin.", table};
    entry.is_drawn = true;
    return SlotType{entry, outline};
  }();
  return type;
}

}  // namespace polepitch
