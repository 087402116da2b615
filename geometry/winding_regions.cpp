#include "geometry/winding_regions.h"

#include <algorithm>

#include <fmt/format.h>

namespace polepitch {

namespace {

const WindingLayout& layout_of(const Plan& plan, const SideDrawing& drawing) {
  return drawing.side == Side::stator ? plan.winding : plan.rotor_winding;
}

const Values& values_of(const Plan& plan, const SideDrawing& drawing) {
  return (drawing.side == Side::stator ? plan.machine->winding : plan.machine->rotor_winding).values;
}

}  // namespace

double smallest_layer(const Block& winding, const SlotOutline& outline) {
  const double height = outline.body_bottom - outline.body_top;
  if (!winding.present || winding.values.integer("layers") == 1) return height;
  const double split = winding.values.number("layer_split");
  return height * std::min(split, 1 - split);
}

SlotFilling winding_filling(const Plan& plan, const SideDrawing& drawing) {
  SlotFilling filling;
  if (const WindingLayout& layout = layout_of(plan, drawing); !layout.sides.empty()) {
    filling.layers = layout.layers;
    filling.split = values_of(plan, drawing).number("layer_split");
  }
  filling.coil_side = [&plan, &drawing](int slot, int layer) { return coil_side_region(plan, drawing, slot, layer); };
  return filling;
}

Region coil_side_region(const Plan& plan, const SideDrawing& drawing, int slot, int layer) {
  const WindingLayout& winding = layout_of(plan, drawing);
  const char* where = winding.layers == 1 ? "" : layer == 0 ? " bottom layer" : " top layer";
  Region region =
      make_region(drawing, Role::air,
                  fmt::format("{}slot {}{}", drawing.side == Side::stator ? "" : "rotor ", slot + 1, where), "air");
  region.slot = slot;
  region.layer = layer;
  for (const CoilSide& side : winding.sides) {
    if (side.slot != slot || side.layer != layer) continue;
    region.role = Role::winding;
    region.material = values_of(plan, drawing).text("material");
    region.branch = side.phase;
    region.turns = static_cast<double>(side.sign) * winding.turns_per_coil / winding.parallel_paths;
  }
  return region;
}

}  // namespace polepitch
