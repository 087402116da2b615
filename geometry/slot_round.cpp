// Round slot, with an opening or closed by a bridge.
#include <cmath>

#include <fmt/format.h>

#include "geometry/slot_shapes.h"

namespace polepitch {

namespace {

// Teeth beside a circle are measured in its middle half: further out the slot ends without a corner.
void set_body(SlotOutline& o, double top, double centre, double r) {
  o.body_top = top;
  o.body_bottom = centre + r;
  o.tooth_top = centre - r / 2;
  o.tooth_bottom = centre + r / 2;
  o.depth_parameter = "diameter";
}

SlotOutline open_outline(const SlotSite& site, Faults& faults) {
  const Values& v = site.block->values;
  const double half = v.number("opening_width") / 2, r = v.number("diameter") / 2;
  const double mouth = mouth_depth(site, half), neck = mouth + v.number("opening_height");
  const double centre = neck + std::sqrt(std::max(r * r - half * half, 0.0));
  SlotOutline o;
  o.points = {{mouth, half, "opening_width"},
              {neck, half, "opening_width"},
              {centre, r, "diameter", true, centre, 0},
              {centre + r, 0, "diameter", true, centre, 0}};
  set_body(o, neck, centre, r);
  if (half > 0.99 * r)
    add_fault(faults, *site.block, "opening_width", fmt::format("is as wide as the round slot, {}", millimetres(2 * r)),
              fmt::format("at most {}", rounded_down(1.98 * r)));
  return o;
}

SlotOutline closed_outline(const SlotSite& site, Faults&) {
  const Values& v = site.block->values;
  const double r = v.number("diameter") / 2, top = v.number("bridge");
  SlotOutline o;
  o.open = false;
  o.points = {
      {top, 0, "bridge"}, {top + r, r, "diameter", true, top + r, 0}, {top + 2 * r, 0, "diameter", true, top + r, 0}};
  set_body(o, top, top + r, r);
  return o;
}

}  // namespace

const SlotType& round_slot() {
  static const SlotType type{{"round",
                              "Round slot with an opening.",
                              {
                                  length_parameter("opening_width", 0.1, 200, "1.5", "Width of the slot opening."),
                                  length_parameter("opening_height", 0.05, 100, "0.8", "Height of the opening."),
                                  length_parameter("diameter", 0.5, 300, "", "Diameter of the slot."),
                              }},
                             open_outline};
  return type;
}

const SlotType& closed_round_slot() {
  static const SlotType type{
      {"closed-round",
       "Round slot closed by a thin bridge of iron.",
       {
           length_parameter("bridge", 0.1, 50, "0.5", "Thinnest iron between the slot and the surface."),
           length_parameter("diameter", 0.5, 300, "", "Diameter of the slot."),
       }},
      closed_outline};
  return type;
}

}  // namespace polepitch
