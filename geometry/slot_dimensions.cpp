// What a slot's drawing says in figures: from its outline and the parameters that the outline names.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include "geometry/slots.h"

namespace polepitch {

namespace {

struct Slots {
  SideDrawing& drawing;
  const SlotSite& site;
  const SlotOutline& outline;
  double axis, next;  // of this slot and of the one after it, where heights are shown

  bool states(const std::string& key) const { return site.block->values.has(key); }
  double value(const std::string& key) const { return site.block->values.number(key); }
  Point here(double depth, double across) const { return slot_point(site, axis, depth, across); }
  Point there(double depth, double across) const { return slot_point(site, next, depth, across); }
};

// Each parameter that is the width of the outline at one of its points, or of the bottom before it was rounded.
void add_widths(const Slots& s) {
  const std::set<std::string> others = {"", "file", "bridge", "tooth_width", s.outline.depth_parameter};
  std::set<std::string> done;
  for (const OutlinePoint& p : s.outline.points) {
    const bool width = !others.contains(p.parameter) || p.parameter == "diameter";
    if (!width || !done.insert(p.parameter).second) continue;
    const double half = s.value(p.parameter) / 2;
    double depth = s.outline.body_bottom;
    for (const OutlinePoint& q : s.outline.points)
      if (q.parameter == p.parameter && std::abs(q.half - half) < 1e-9) depth = std::min(depth, q.depth);
    add_dimension(s.drawing, *s.site.block, p.parameter, s.here(depth, -half), s.here(depth, half));
  }
}

void add_tooth(const Slots& s) {
  const auto cut = [&](double depth) {
    const double half = half_width(s.outline, depth);
    return std::pair{s.here(depth, half), s.there(depth, -half)};
  };
  const double top = s.outline.tooth_top, bottom = s.outline.tooth_bottom;
  const bool at_top = tooth_width(s.site, s.outline, top) < tooth_width(s.site, s.outline, bottom);
  if (s.states("tooth_width")) {
    const auto [from, to] = cut((top + bottom) / 2);
    return add_dimension(s.drawing, *s.site.block, "tooth_width", from, to);
  }
  const auto [from, to] = cut(at_top ? top : bottom);
  add_measure(s.drawing, "narrowest tooth", from, to);
}

// From the surface to the outline's point nearest to it.
void add_bridge(const Slots& s) {
  const OutlinePoint* nearest = nullptr;
  double least = 1e9;
  for (const OutlinePoint& p : s.outline.points) {
    const double gap = std::abs(std::hypot(s.site.radius + s.site.direction * p.depth, p.half) - s.site.radius);
    if (gap < least - 1e-12) least = gap, nearest = &p;
  }
  const Point at = s.there(nearest->depth, nearest->half);
  add_dimension(s.drawing, *s.site.block, "bridge", at, (s.site.radius / std::hypot(at.x, at.y)) * at);
}

void add_heights(const Slots& s) {
  const OutlinePoint& mouth = s.outline.points.front();
  if (s.states("opening_height"))
    add_dimension(s.drawing, *s.site.block, "opening_height", s.there(mouth.depth, mouth.half),
                  s.there(mouth.depth + s.value("opening_height"), mouth.half));
  const double half = half_width(s.outline, (s.outline.body_top + s.outline.body_bottom) / 2);
  if (s.states("body_height"))
    add_dimension(s.drawing, *s.site.block, "body_height", s.there(s.outline.body_top, half / 2),
                  s.there(s.outline.body_top + s.value("body_height"), half / 2));
  add_measure(s.drawing, "slot depth", s.there(0, 0), s.there(s.outline.points.back().depth, 0));
}

}  // namespace

void add_slot_dimensions(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, double axis) {
  const Slots slots{drawing, site, outline, axis, axis + 2 * std::numbers::pi / site.count};
  add_widths(slots);
  add_tooth(slots);
  if (slots.states("bridge") && !outline.open) add_bridge(slots);
  add_heights(slots);
}

}  // namespace polepitch
