// Semi-closed slot whose body ends in a half circle.
#include "geometry/slot_shapes.h"

namespace polepitch {

namespace {

SlotOutline outline(const SlotSite& site, Faults& faults) {
  const Values& v = site.block->values;
  const double half = v.number("opening_width") / 2;
  const double mouth = mouth_depth(site, half), neck = mouth + v.number("opening_height");
  const double top = neck + v.number("flare_height"), centre = top + v.number("body_height");
  const BodyWidths w = body_widths(site, top, centre, faults);
  SlotOutline o;
  o.points = {{mouth, half, "opening_width"},
              {neck, half, "opening_width"},
              {top, w.top, w.top_parameter},
              {centre, w.bottom, w.bottom_parameter},
              {centre + w.bottom, 0, w.bottom_parameter, true, centre, 0}};
  o.body_top = top;
  o.body_bottom = centre + w.bottom;
  o.tooth_top = top + 1e-3 * (centre - top);
  o.tooth_bottom = centre;
  o.depth_parameter = "body_height";
  check_opening(site, half, o.points[2], faults);
  return o;
}

}  // namespace

const SlotType& round_bottom_slot() {
  static const SlotType type{
      {"round-bottom",
       "Semi-closed slot whose body ends in a half circle, given by two widths or by a constant tooth width.",
       {
           length_parameter("opening_width", 0.1, 200, "3", "Width of the slot opening."),
           length_parameter("opening_height", 0.05, 100, "1", "Height of the parallel part of the opening."),
           length_parameter("flare_height", 0, 100, "1", "Height over which the opening widens to the body."),
           optional_length("width_top", 0.1, 500, "Width of the body at the end towards the air gap."),
           optional_length("width_bottom", 0.1, 500,
                           "Width of the body at the slot bottom, diameter of the half circle."),
           optional_length("tooth_width", 0.1, 500,
                           "Constant width of the teeth beside the body, instead of two widths."),
           length_parameter("body_height", 0.5, 500, "20", "Height of the body down to the centre of the half circle."),
       }},
      outline};
  return type;
}

}  // namespace polepitch
