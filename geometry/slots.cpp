#include "geometry/slots.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

Point local_point(const SlotSite& site, double depth, double across) {
  return {site.radius + site.direction * depth, across};
}

// One half of the outline; `hand` +1 draws the counter-clockwise side.
void draw_half(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, double axis, int hand,
               int part) {
  for (std::size_t i = 1; i < outline.points.size(); ++i) {
    const OutlinePoint &a = outline.points[i - 1], &b = outline.points[i];
    const Point from = turned(local_point(site, a.depth, hand * a.half), axis);
    const Point to = turned(local_point(site, b.depth, hand * b.half), axis);
    if (!b.arc) {
      add_line(drawing.sketch, from, to, part);
      continue;
    }
    const Point centre = turned(local_point(site, b.centre_depth, hand * b.centre_half), axis);
    add_arc(drawing.sketch, from, to, centre, (hand * site.direction < 0) != b.hollow, part);
  }
}

}  // namespace

double mouth_depth(const SlotSite& site, double half) {
  const double drop = site.radius - std::sqrt(std::max(site.radius * site.radius - half * half, 0.0));
  return -site.direction * drop;
}

double half_for_tooth(const SlotSite& site, double depth, double tooth) {
  const double alpha = pi / site.count, rho = site.radius + site.direction * depth;
  return (rho * std::sin(alpha) - tooth / 2) / std::cos(alpha);
}

double half_width(const SlotOutline& outline, double depth) {
  const auto& p = outline.points;
  for (std::size_t i = 1; i < p.size(); ++i) {
    if (depth < p[i - 1].depth || depth > p[i].depth) continue;
    if (p[i].arc) {
      const double r = std::hypot(p[i].depth - p[i].centre_depth, p[i].half - p[i].centre_half);
      const double d = depth - p[i].centre_depth;
      return p[i].centre_half + (p[i].hollow ? -1 : 1) * std::sqrt(std::max(r * r - d * d, 0.0));
    }
    const double height = p[i].depth - p[i - 1].depth;
    if (height <= 0) return std::max(p[i - 1].half, p[i].half);
    return p[i - 1].half + (p[i].half - p[i - 1].half) * (depth - p[i - 1].depth) / height;
  }
  return 0;
}

double tooth_width(const SlotSite& site, const SlotOutline& outline, double depth) {
  const double alpha = pi / site.count, rho = site.radius + site.direction * depth;
  return 2 * (rho * std::sin(alpha) - half_width(outline, depth) * std::cos(alpha));
}

Point slot_point(const SlotSite& site, double axis, double depth, double across) {
  return turned(local_point(site, depth, across), axis);
}

void add_bottom_corner(SlotOutline& outline, OutlinePoint corner, double radius) {
  const OutlinePoint before = outline.points.back();
  if (radius > 0) {
    const Point c{corner.depth, corner.half}, a{before.depth, before.half};
    const Point up = 1 / distance(a, c) * (a - c), in{0, -1};
    const double half_angle = std::acos(std::clamp(dot(up, in), -1.0, 1.0)) / 2;
    const double reach = radius / std::tan(half_angle);
    const Point first = c + reach * up, last = c + reach * in;
    const Point centre{corner.depth - radius, last.y};
    OutlinePoint begin = corner, end = corner;
    begin.depth = first.x;
    begin.half = first.y;
    end.half = last.y;
    end.arc = true;
    end.centre_depth = centre.x;
    end.centre_half = centre.y;
    outline.points.push_back(begin);
    outline.points.push_back(end);
  } else {
    outline.points.push_back(corner);
  }
  if (outline.points.back().half > 0) outline.points.push_back({corner.depth, 0, corner.parameter});
}

void draw_slots(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, const std::vector<double>& axes,
                const std::string& part) {
  const int slot = add_part(drawing.sketch, part);
  add_slot_dimensions(drawing, site, outline, axes.front());
  for (double axis : axes)
    for (int hand : {1, -1}) draw_half(drawing, site, outline, axis, hand, slot);
  const int surface = add_part(drawing.sketch, "surface " + site.surface);
  const double end = drawing.start_angle + drawing.sector_angle;
  if (!outline.open) {
    add_ring_arc(drawing.sketch, site.radius, drawing.start_angle, end, surface);
    return;
  }
  const double mouth = std::asin(outline.points[0].half / site.radius);
  double from = drawing.start_angle;
  for (double axis : axes) {
    add_ring_arc(drawing.sketch, site.radius, from, axis - mouth, surface);
    from = axis + mouth;
  }
  add_ring_arc(drawing.sketch, site.radius, from, end, surface);
}

void draw_across(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                 const std::vector<double>& axes, double depth, const std::string& part) {
  const int line = add_part(drawing.sketch, part);
  const double half = half_width(outline, depth);
  if (depth <= outline.points.front().depth) {
    // A straight line across a wide mouth would leave the stator and come near the gap circle.
    const double mouth = std::asin(half / site.radius);
    for (double axis : axes) add_ring_arc(drawing.sketch, site.radius, axis - mouth, axis + mouth, line);
    return;
  }
  for (double axis : axes)
    add_line(drawing.sketch, slot_point(site, axis, depth, -half), slot_point(site, axis, depth, half), line);
}

void add_tooth_gauges(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                      const std::vector<double>& axes, int sign) {
  const bool top_first =
      tooth_width(site, outline, outline.tooth_top) <= tooth_width(site, outline, outline.tooth_bottom);
  const int steps = 6;
  for (std::size_t k = 0; k < axes.size(); ++k) {
    Gauge gauge;
    gauge.side = drawing.side;
    gauge.part = drawing.side == Side::stator ? Gauge::Part::stator_tooth : Gauge::Part::rotor_tooth;
    gauge.name = fmt::format("{} tooth {}", drawing.side == Side::stator ? "stator" : "rotor", k + 1);
    const bool last = k + 1 == axes.size();
    for (int i = 0; i <= steps; ++i) {
      const double share = static_cast<double>(top_first ? i : steps - i) / steps;
      const double depth = outline.tooth_top + share * (outline.tooth_bottom - outline.tooth_top);
      const double half = half_width(outline, depth);
      // The tooth behind the last slot ends at the first slot of the next sector, which looks like this one's.
      Gauge::Cut cut =
          make_cut(slot_point(site, axes[k], depth, half), slot_point(site, axes[last ? 0 : k + 1], depth, -half));
      cut.width = tooth_width(site, outline, depth);
      cut.to_sign = last ? sign : 1;
      gauge.cuts.push_back(cut);
    }
    gauge.third = 2;
    drawing.gauges.push_back(std::move(gauge));
  }
}

void add_yoke_gauges(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                     const std::vector<double>& axes) {
  const bool stator = drawing.side == Side::stator;
  const double bottom = site.radius + site.direction * outline.points.back().depth;
  for (std::size_t k = 0; k < axes.size(); ++k)
    drawing.gauges.push_back(make_yoke_gauge(stator ? Gauge::Part::stator_yoke : Gauge::Part::rotor_yoke, drawing.side,
                                             fmt::format("{} yoke behind slot {}", stator ? "stator" : "rotor", k + 1),
                                             axes[k], bottom, site.floor_radius));
}

}  // namespace polepitch
