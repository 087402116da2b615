#include "geometry/winding_regions.h"

#include <algorithm>

#include <fmt/format.h>

namespace polepitch {

double smallest_layer(const Machine& machine, const SlotOutline& outline) {
  const double height = outline.body_bottom - outline.body_top;
  if (!machine.winding.present || machine.winding.values.integer("layers") == 1) return height;
  const double split = machine.winding.values.number("layer_split");
  return height * std::min(split, 1 - split);
}

SlotFilling winding_filling(const Plan& plan, const SideDrawing& drawing) {
  SlotFilling filling;
  if (plan.wound) {
    filling.layers = plan.winding.layers;
    filling.split = plan.machine->winding.values.number("layer_split");
  }
  filling.coil_side = [&plan, &drawing](int slot, int layer) { return coil_side_region(plan, drawing, slot, layer); };
  return filling;
}

Region coil_side_region(const Plan& plan, const SideDrawing& drawing, int slot, int layer) {
  const WindingLayout& winding = plan.winding;
  const char* where = winding.layers == 1 ? "" : layer == 0 ? " bottom layer" : " top layer";
  Region region = make_region(drawing, Role::air, fmt::format("slot {}{}", slot + 1, where), "air");
  region.slot = slot;
  region.layer = layer;
  for (const CoilSide& side : winding.sides) {
    if (side.slot != slot || side.layer != layer) continue;
    region.role = Role::winding;
    region.material = plan.machine->winding.values.text("material");
    region.branch = side.phase;
    region.turns = static_cast<double>(side.sign) * winding.turns_per_coil / winding.parallel_paths;
  }
  return region;
}

}  // namespace polepitch
