#include "geometry/flux_barrier.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace polepitch {

namespace {

constexpr double least_bend = 0.2e-3;  // m

Point outer_end(const FluxBarrier& b) {
  return polar(b.end_radius, b.end_angle);
}

// Centre, on the axis, of both edges of an arc: the circle through (top, 0) and the outer edge's ends.
double centre_of(const FluxBarrier& b) {
  const Point p = outer_end(b);
  return (b.end_radius * b.end_radius - b.top * b.top) / (2 * (p.x - b.top));
}

Point leg_direction(const FluxBarrier& b) {
  return {std::cos(b.leg_angle), std::sin(b.leg_angle)};
}

// A point of the inner edge's leg.
Point inner_leg(const FluxBarrier& b) {
  const Point e = leg_direction(b);
  return outer_end(b) + (b.top - b.bottom) * Point{-e.y, e.x};
}

Point corner(Point on_leg, Point e, double x) {
  return on_leg - ((on_leg.x - x) / e.x) * e;
}

Point inner_end(const FluxBarrier& b) {
  if (!b.straight) return polar(b.end_radius, far_end_angle(b));
  const Point p = inner_leg(b), e = leg_direction(b);
  const double along = dot(p, e);
  return p + (-along + std::sqrt(std::max(along * along - dot(p, p) + b.end_radius * b.end_radius, 0.0))) * e;
}

// From `from` at the axis or the rib outwards along the outer edge, over the end, and back along the inner edge.
Outline upper_half(const FluxBarrier& b) {
  const Point first = outer_end(b), last = inner_end(b), top = on_axis(b, true), bottom = on_axis(b, false);
  const SketchCurve end = arc(first, last, {0, 0}, true);
  if (!b.straight) {
    const Point centre{centre_of(b), 0};
    return {arc(top, first, centre, false), end, arc(last, bottom, centre, true)};
  }
  const Point e = leg_direction(b), k1 = corner(first, e, b.top), k2 = corner(inner_leg(b), e, b.bottom);
  return {line(top, k1), line(k1, first), end, line(last, k2), line(k2, bottom)};
}

}  // namespace

double far_end_angle(const FluxBarrier& b) {
  if (b.straight) {
    const Point p = inner_end(b);
    return std::atan2(p.y, p.x);
  }
  const double c = centre_of(b), rho = c - b.bottom;
  const double cosine = (b.end_radius * b.end_radius + c * c - rho * rho) / (2 * c * b.end_radius);
  return std::acos(std::clamp(cosine, -1.0, 1.0));
}

Point on_axis(const FluxBarrier& b, bool outer) {
  const double x = outer ? b.top : b.bottom;
  if (b.straight) return {x, b.half_rib};
  const double c = centre_of(b), rho = c - x;
  return {c - std::sqrt(std::max(rho * rho - b.half_rib * b.half_rib, 0.0)), b.half_rib};
}

std::string why_not_drawable(const FluxBarrier& b) {
  const Point end = outer_end(b);
  const double room = b.half_rib + least_bend;
  if (end.x < b.top + least_bend)
    return "is too wide for the depth of the barrier: its middle would lie outside of its ends";
  const double half = b.straight ? corner(end, leg_direction(b), b.top).y : end.y;
  if (half < room) return "is too narrow for the barrier to reach its depth";
  if (b.straight && corner(inner_leg(b), leg_direction(b), b.bottom).y < room)
    return "is too narrow for the thickness of the barrier";
  return "";
}

std::vector<PolePart> barrier_parts(const FluxBarrier& b, int number) {
  PolePart part{Role::air, fmt::format("barrier {}", number + 1), "air", upper_half(b), {}, 0, 2 * number};
  const Point top = on_axis(b, true), bottom = on_axis(b, false);
  if (b.half_rib > 0) {
    part.outline.push_back(line(bottom, top));
    part.seed = 0.5 * (top + bottom) + Point{0, least_bend / 4};
    return {part, mirrored(part, 2 * number + 1)};
  }
  // Both halves in one piece: the upper one, then the lower one back to the start.
  PolePart whole = part;
  const PolePart lower = mirrored(part, 0);
  whole.outline.insert(whole.outline.end(), lower.outline.begin(), lower.outline.end());
  whole.seed = 0.5 * (top + bottom);
  return {whole};
}

std::vector<Parameter> reluctance_parameters() {
  Parameter shape;
  shape.name = "barrier_shape";
  shape.form = Form::choice;
  shape.fallback = "arc";
  shape.choices = {"arc", "straight"};
  shape.sentence = "Arcs about a point outside of the rotor, or three straight pieces whose legs run along the d-axis.";
  const auto list = [](Parameter p) {
    p.form = Form::quantity_list;
    return p;
  };
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
      list(length_parameter("barrier_depths", 0.2, 2000, "",
                            "Depth of each barrier's outer edge below the surface on the q-axis, from the outside.")),
      list(length_parameter("barrier_thicknesses", 0.2, 500, "", "Thickness of each barrier.")),
      list(number_parameter("barrier_spans", 0.02, 0.98, "",
                            "Share of the pole pitch between the ends of each barrier's outer edge.")),
      shape,
      length_parameter("bridge", 0.1, 50, "0.8", "Thickness of the iron between the barriers' ends and the surface."),
      length_parameter("rib", 0, 100, "0", "Thickness of the iron across each barrier on the q-axis; 0 means none."),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
  };
}

}  // namespace polepitch
