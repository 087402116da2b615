#include "geometry/pole_parts.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double touch = 1e-9;  // m
constexpr int samples = 24;     // of a curve

Point at(const SketchCurve& c, double share) {
  if (!c.arc) return c.start + share * (c.end - c.start);
  return turned(c.start, share * sweep(c), c.centre);
}

bool holds(const Outline& outline, Point p) {
  double turns = 0;
  for (const SketchCurve& c : outline) turns += angle_seen(c, p);
  return std::abs(turns) > pi;
}

double enclosed_area(const Outline& outline) {
  double area = 0;
  for (const SketchCurve& c : outline) area += area_swept(c);
  return area;
}

// Runs counter-clockwise round an area without crossing itself.
bool is_simple(const Outline& outline) {
  if (enclosed_area(outline) < 1e-10) return false;  // m2
  for (std::size_t i = 0; i < outline.size(); ++i)
    for (std::size_t j = i + 1; j < outline.size(); ++j)
      for (Point p : meetings(outline[i], outline[j], touch))
        if (distance(p, outline[i].end) > 2 * touch && distance(p, outline[i].start) > 2 * touch) return false;
  return true;
}

/// Least iron between a part and what bounds its room.
struct Margins {
  double surface = 1e9, shaft = 1e9, edge = 1e9;
};

Margins margins_of(const Outline& outline, const PoleRoom& room) {
  Margins m;
  for (const SketchCurve& c : outline)
    for (int i = 0; i < samples; ++i) {
      const Point p = at(c, i / static_cast<double>(samples));
      const double r = std::hypot(p.x, p.y), away = room.half_pitch - std::abs(std::atan2(p.y, p.x));
      m.surface = std::min(m.surface, room.outer - r);
      m.shaft = std::min(m.shaft, r - room.inner);
      m.edge = std::min(m.edge, away < pi / 2 ? r * std::sin(away) : r);
    }
  return m;
}

std::string other_than(const PolePart& a, const PolePart& b) {
  return a.name == b.name ? fmt::format("the {}s of the pole", a.name) : fmt::format("{} and {}", a.name, b.name);
}

}  // namespace

double distance_to(const SketchCurve& c, Point p) {
  double best = std::min(distance(p, c.start), distance(p, c.end));
  if (c.arc) {
    const double r = distance(c.start, c.centre), d = distance(p, c.centre);
    if (d > 0 && lies_inside(c, c.centre + (r / d) * (p - c.centre), touch)) best = std::min(best, std::abs(d - r));
    return best;
  }
  const Point u = c.end - c.start;
  const double length = dot(u, u), share = length > 0 ? dot(p - c.start, u) / length : 0;
  if (share > 0 && share < 1) best = std::min(best, distance(p, c.start + share * u));
  return best;
}

SketchCurve line(Point a, Point b) {
  return {a, b, false, {}, true, 0};
}

SketchCurve arc(Point a, Point b, Point centre, bool ccw) {
  return {a, b, true, centre, ccw, 0};
}

Outline polygon(const std::vector<Point>& corners) {
  Outline outline;
  for (std::size_t i = 0; i < corners.size(); ++i)
    outline.push_back(line(corners[i], corners[(i + 1) % corners.size()]));
  return outline;
}

PolePart mirrored(const PolePart& part, int cavity) {
  PolePart twin = part;
  twin.cavity = cavity;
  twin.direction = -part.direction;
  twin.seed.y = -part.seed.y;
  std::reverse(twin.outline.begin(), twin.outline.end());
  for (SketchCurve& c : twin.outline) {
    std::swap(c.start, c.end);  // mirrored and run backwards: an arc keeps its hand
    c.start.y = -c.start.y;
    c.end.y = -c.end.y;
    c.centre.y = -c.centre.y;
  }
  return twin;
}

double least_distance(const Outline& a, const Outline& b) {
  if (holds(a, b.front().start) || holds(b, a.front().start)) return 0;
  double least = 1e9;
  for (const SketchCurve& c : a)
    for (const SketchCurve& d : b) {
      if (!meetings(c, d, touch).empty()) return 0;
      for (int i = 0; i < samples; ++i) {
        const double share = i / static_cast<double>(samples);
        least = std::min({least, distance_to(d, at(c, share)), distance_to(c, at(d, share))});
      }
    }
  return least;
}

std::vector<Misfit> misfits(const std::vector<PolePart>& parts, const PoleRoom& room, const Blame& blame) {
  std::vector<Misfit> found;
  const auto add = [&](const std::string& parameter, std::string words) {
    for (const Misfit& m : found)
      if (m.parameter == parameter) return;
    found.push_back({parameter, std::move(words)});
  };
  const double least = least_iron - touch;
  for (const PolePart& part : parts) {
    if (!is_simple(part.outline)) {
      add(blame.shape, fmt::format("leaves no room for the {}", part.name));
      continue;
    }
    const Margins m = margins_of(part.outline, room);
    if (m.surface < least) add(blame.surface, fmt::format("leaves no bridge between {} and surface", part.name));
    if (m.shaft < least) add(blame.shaft, fmt::format("leaves no core between {} and shaft", part.name));
    if (m.edge < least) add(blame.neighbour_pole, fmt::format("lets the {} reach into the next pole", part.name));
  }
  if (!found.empty()) return found;
  for (std::size_t i = 0; i < parts.size(); ++i)
    for (std::size_t j = i + 1; j < parts.size(); ++j)
      if (parts[i].cavity != parts[j].cavity && least_distance(parts[i].outline, parts[j].outline) < least)
        add(blame.other_part, fmt::format("leaves no iron between {}", other_than(parts[i], parts[j])));
  return found;
}

void draw_parts(SideDrawing& drawing, const std::vector<PolePart>& parts, double axis, int pole) {
  for (const PolePart& part : parts) {
    const int owner = add_part(drawing.sketch, part.name);
    for (const SketchCurve& c : part.outline) {
      if (c.arc)
        add_arc(drawing.sketch, turned(c.start, axis), turned(c.end, axis), turned(c.centre, axis), c.ccw, owner);
      else
        add_line(drawing.sketch, turned(c.start, axis), turned(c.end, axis), owner);
    }
    Region region = make_region(drawing, part.role, fmt::format("pole {} {}", pole + 1, part.name), part.material);
    region.slot = pole;
    if (part.role == Role::magnet)
      region.magnetisation = {Magnetisation::Pattern::parallel, part.direction + axis + (pole % 2 ? pi : 0), 1};
    add_label(drawing.sketch, region, turned(part.seed, axis));
  }
}

Gauge single_cut(Gauge::Part part, std::string name, Point from, Point to) {
  Gauge gauge;
  gauge.part = part;
  gauge.name = std::move(name);
  gauge.side = Side::rotor;
  gauge.cuts = {make_cut(from, to)};
  return gauge;
}

std::vector<double> draw_round_core(const Plan& plan, SideDrawing& drawing, double first_axis) {
  const double pitch = pi / plan.machine->pole_pairs();
  drawing.start_angle = first_axis - pitch / 2;
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  add_ring(drawing, plan.rotor_radius, "rotor surface");
  draw_shaft(plan, drawing, shaft_radius(*plan.machine));
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  // No part comes nearer than the least iron to the surface or to the next pole.
  const double beside = least_iron / 2, r = plan.rotor_radius - beside;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(*plan.machine)),
            polar(r, drawing.start_angle + beside / r));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((plan.rotor_radius + drawing.gap_radius) / 2, drawing.start_angle + 0.4142 * drawing.sector_angle));
  add_air_gap(drawing, plan, first_axis - pitch / 2);
  std::vector<double> axes;
  for (int j = 0; j < plan.in_sector(2 * plan.machine->pole_pairs()); ++j) axes.push_back(first_axis + j * pitch);
  return axes;
}

}  // namespace polepitch
