// Semi-closed slot: opening, flare, trapezoidal body; and the same body closed by a bridge.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/slot_shapes.h"

namespace polepitch {

namespace {

std::vector<Parameter> body_parameters() {
  return {
      optional_length("width_top", 0.1, 500, "Width of the body at the end towards the air gap."),
      optional_length("width_bottom", 0.1, 500, "Width of the body at the slot bottom."),
      optional_length("tooth_width", 0.1, 500, "Constant width of the teeth beside the body, instead of two widths."),
      length_parameter("body_height", 0.5, 500, "20", "Height of the body, which holds the conductors."),
      length_parameter("corner_radius", 0, 100, "0", "Radius of the corners at the slot bottom."),
  };
}

std::vector<Parameter> open_parameters() {
  std::vector<Parameter> table = {
      length_parameter("opening_width", 0.1, 200, "3", "Width of the slot opening."),
      length_parameter("opening_height", 0.05, 100, "1", "Height of the parallel part of the opening, the tooth tip."),
      length_parameter("flare_height", 0, 100, "1", "Height over which the opening widens to the body."),
  };
  for (Parameter& p : body_parameters()) table.push_back(std::move(p));
  return table;
}

std::vector<Parameter> closed_parameters() {
  std::vector<Parameter> table = {
      length_parameter("bridge", 0.1, 50, "0.5", "Thinnest iron between the slot and the surface."),
  };
  for (Parameter& p : body_parameters()) table.push_back(std::move(p));
  return table;
}

// The body from `top` downwards, flat bottom with rounded corners.
void add_body(const SlotSite& site, SlotOutline& outline, double top, Faults& faults) {
  const Values& v = site.block->values;
  const double bottom = top + v.number("body_height"), r = v.number("corner_radius");
  const BodyWidths w = body_widths(site, top, bottom, faults);
  outline.points.push_back({top, w.top, w.top_parameter});
  const OutlinePoint corner{bottom, w.bottom, w.bottom_parameter};
  outline.body_top = top;
  outline.tooth_top = top + 1e-3 * (bottom - top);  // below the shoulder, which may be flat
  outline.body_bottom = bottom;
  outline.tooth_bottom = bottom - r;
  outline.depth_parameter = "body_height";
  const double side = std::hypot(bottom - top, w.bottom - w.top);
  const double corner_angle = std::acos((w.bottom - w.top) / side);
  const double largest = std::min(side, w.bottom) * std::tan(corner_angle / 2);
  const bool fits = r < 0.999 * largest;
  if (r > 0 && !fits)
    add_fault(faults, *site.block, "corner_radius", "is too large for the slot bottom",
              fmt::format("less than {} fits", rounded_down(largest)));
  add_bottom_corner(outline, corner, fits ? r : 0);
}

SlotOutline open_outline(const SlotSite& site, Faults& faults) {
  const Values& v = site.block->values;
  SlotOutline outline;
  const double half = v.number("opening_width") / 2;
  const double mouth = mouth_depth(site, half), neck = mouth + v.number("opening_height");
  outline.points = {{mouth, half, "opening_width"}, {neck, half, "opening_width"}};
  add_body(site, outline, neck + v.number("flare_height"), faults);
  check_opening(site, half, outline.points[2], faults);
  return outline;
}

SlotOutline closed_outline(const SlotSite& site, Faults& faults) {
  const Values& v = site.block->values;
  SlotOutline outline;
  outline.open = false;
  // The corners of a flat top lie nearer to the surface of a rotor than its middle: the bridge is thinnest there.
  double top = v.number("bridge");
  if (site.direction < 0) {
    Faults later;  // add_body reports them
    const double half = body_widths(site, top, top + v.number("body_height"), later).top;
    const double inner = site.radius - top;
    if (half < inner) top = site.radius - std::sqrt(inner * inner - half * half);
  }
  outline.points = {{top, 0, "bridge"}};
  add_body(site, outline, top, faults);
  return outline;
}

}  // namespace

const SlotType& trapezoidal_slot() {
  static const SlotType type{
      {"trapezoidal", "Semi-closed slot with a trapezoidal body, given by two widths or by a constant tooth width.",
       open_parameters()},
      open_outline};
  return type;
}

const SlotType& closed_trapezoidal_slot() {
  static const SlotType type{
      {"closed-trapezoidal", "Trapezoidal slot closed by a thin bridge of iron.", closed_parameters()}, closed_outline};
  return type;
}

}  // namespace polepitch
