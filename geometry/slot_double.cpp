// Semi-closed slot of two bodies one above the other, joined by a slit: for double cages, and for one bar that is wide,
// narrow and wide again.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/slot_shapes.h"

namespace polepitch {

namespace {

void check_slit(const SlotSite& site, double slit_half, const OutlinePoint& body, const char* where, Faults& faults) {
  if (slit_half <= body.half - 1e-9) return;
  add_fault(faults, *site.block, "slit_width",
            fmt::format("is not narrower than the {} body, {}", where, millimetres(2 * body.half)),
            fmt::format("less than {}", rounded_down(2 * body.half)));
}

// The surface of an inner side falls away from the corners of a wide body under a low opening.
void check_shoulder(const SlotSite& site, double depth, double half, Faults& faults) {
  constexpr double kLeast = 0.05e-3;
  if (site.direction > 0 || std::hypot(site.radius - depth, half) < site.radius - kLeast || half >= site.radius) return;
  const double rim = site.radius - kLeast;
  const double needed = depth + (site.radius - depth) - std::sqrt(std::max(rim * rim - half * half, 0.0));
  const double height = site.block->values.number("opening_height");
  add_fault(faults, *site.block, "opening_height", "lets the upper body come out of the surface",
            fmt::format("at least {}, or a narrower upper body", rounded_up(height + needed - depth)));
}

SlotOutline outline(const SlotSite& site, Faults& faults) {
  const Values& v = site.block->values;
  const double half = v.number("opening_width") / 2, slit = v.number("slit_width") / 2;
  const double mouth = mouth_depth(site, half), neck = mouth + v.number("opening_height");
  SlotOutline o;
  o.body_top = neck;
  o.slit_top = neck + v.number("upper_height");
  o.slit_bottom = o.slit_top + v.number("slit_height");
  o.body_bottom = o.slit_bottom + v.number("lower_height");
  o.points = {{mouth, half, "opening_width"},
              {neck, half, "opening_width"},
              {neck, v.number("upper_width_top") / 2, "upper_width_top"},
              {o.slit_top, v.number("upper_width_bottom") / 2, "upper_width_bottom"},
              {o.slit_top, slit, "slit_width"},
              {o.slit_bottom, slit, "slit_width"},
              {o.slit_bottom, v.number("lower_width_top") / 2, "lower_width_top"},
              {o.body_bottom, v.number("lower_width_bottom") / 2, "lower_width_bottom"},
              {o.body_bottom, 0, "lower_width_bottom"}};
  o.tooth_top = neck + 1e-3 * (o.slit_top - neck);
  o.tooth_bottom = o.body_bottom;
  o.depth_parameter = "lower_height";
  check_opening(site, half, o.points[2], faults);
  check_shoulder(site, neck, o.points[2].half, faults);
  check_slit(site, slit, o.points[3], "upper", faults);
  check_slit(site, slit, o.points[6], "lower", faults);
  return o;
}

}  // namespace

const SlotType& double_slot() {
  static const SlotType type{
      {"double",
       "Semi-closed slot of two bodies joined by a slit, for double cages; a single bar fills bodies and slit.",
       {
           length_parameter("opening_width", 0.1, 200, "1.5", "Width of the slot opening."),
           length_parameter("opening_height", 0.05, 100, "0.8", "Height of the opening, the tooth tip."),
           length_parameter("upper_width_top", 0.2, 500, "", "Width of the upper body at the opening."),
           length_parameter("upper_width_bottom", 0.2, 500, "", "Width of the upper body at the slit."),
           length_parameter("upper_height", 0.2, 500, "", "Height of the upper body."),
           length_parameter("slit_width", 0.1, 200, "1", "Width of the slit between the bodies."),
           length_parameter("slit_height", 0.1, 500, "3", "Height of the slit, the leakage path of the lower body."),
           length_parameter("lower_width_top", 0.2, 500, "", "Width of the lower body at the slit."),
           length_parameter("lower_width_bottom", 0.2, 500, "", "Width of the lower body at the slot bottom."),
           length_parameter("lower_height", 0.2, 500, "", "Height of the lower body."),
       }},
      outline};
  return type;
}

}  // namespace polepitch
