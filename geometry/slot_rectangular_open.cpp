// Open slot with parallel sides, for formed coils: a wedge at the mouth, the body behind it.
#include <fmt/format.h>

#include "geometry/slot_shapes.h"

namespace polepitch {

namespace {

SlotOutline outline(const SlotSite& site, Faults& faults) {
  const Values& v = site.block->values;
  const double half = v.number("width") / 2, mouth = mouth_depth(site, half);
  SlotOutline o;
  o.body_top = mouth + v.number("wedge_height");
  o.body_bottom = o.body_top + v.number("height");
  if (o.body_top > mouth) o.wedge_top = mouth;
  if (o.body_bottom < 1e-5)  // the flat bottom would come out of the curved surface
    add_fault(faults, *site.block, "height", "does not reach behind the surface in the middle of the slot",
              fmt::format("more than {}", millimetres(v.number("height") - o.body_bottom + 1e-5)));
  o.wedge_material = v.text("wedge_material");
  o.points = {{mouth, half, "width"}, {o.body_bottom, half, "width"}, {o.body_bottom, 0, "width"}};
  o.tooth_top = mouth;
  o.tooth_bottom = o.body_bottom;
  o.depth_parameter = "height";
  const bool wide = v.has("coil_side_width"), high = v.has("coil_side_height");
  if (wide != high) {
    const std::string given = wide ? "coil_side_width" : "coil_side_height";
    add_fault(faults, *site.block, given, "is given without the other side of the rectangle",
              "state both coil_side_width and coil_side_height, or neither");
    return o;
  }
  if (wide) {
    o.conductor_width = v.number("coil_side_width");
    o.conductor_height = v.number("coil_side_height");
  }
  return o;
}

}  // namespace

const SlotType& rectangular_open_slot() {
  static const SlotType type{
      {"rectangular-open",
       "Open slot with parallel sides; coil sides fill it or are rectangles in insulation.",
       {
           length_parameter("width", 0.2, 500, "10", "Width of the slot."),
           length_parameter("height", 0.5, 500, "30",
                            "Height of the slot behind the wedge, which holds the conductors."),
           length_parameter("wedge_height", 0, 100, "0", "Height of the wedge at the mouth; 0 means none."),
           material_parameter("wedge_material", "air", "Material of the wedge."),
           optional_length("coil_side_width", 0.1, 500,
                           "Width of the coil side in each layer; absent, it fills the layer."),
           optional_length("coil_side_height", 0.1, 500,
                           "Height of the coil side in each layer; absent, it fills the layer."),
       }},
      outline};
  return type;
}

}  // namespace polepitch
