#include "geometry/winding_regions.h"

#include <cmath>

#include <fmt/format.h>

namespace polepitch {

namespace {

struct Span {
  double top, bottom;  // depths
};

// Layer 0 lies at the slot bottom.
Span layer_span(const Plan& plan, const SlotOutline& outline, int layer) {
  if (!plan.wound || plan.winding.layers == 1) return {outline.body_top, outline.body_bottom};
  const double height = outline.body_bottom - outline.body_top;
  const double split = outline.body_bottom - plan.machine->winding.values.number("layer_split") * height;
  return layer == 0 ? Span{split, outline.body_bottom} : Span{outline.body_top, split};
}

void draw_rectangle(SideDrawing& drawing, const SlotSite& site, double axis, Span span, double width, int part) {
  const Point corners[4] = {
      slot_point(site, axis, span.top, -width / 2), slot_point(site, axis, span.bottom, -width / 2),
      slot_point(site, axis, span.bottom, width / 2), slot_point(site, axis, span.top, width / 2)};
  for (int i = 0; i < 4; ++i) add_line(drawing.sketch, corners[i], corners[(i + 1) % 4], part);
}

// A rectangular coil side in the middle of its layer, insulation around it.
void fill_with_rectangle(const Plan& plan, SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                         double axis, int slot, int layer) {
  const Span span = layer_span(plan, outline, layer);
  const double middle = (span.top + span.bottom) / 2, h = outline.conductor_height;
  const Span copper{middle - h / 2, middle + h / 2};
  draw_rectangle(drawing, site, axis, copper, outline.conductor_width, add_part(drawing.sketch, "coil side"));
  add_label(drawing.sketch, coil_side_region(plan, drawing, slot, layer), slot_point(site, axis, middle, 0));
  Region around = make_region(drawing, Role::insulation, fmt::format("slot {} insulation", slot + 1), "air");
  around.slot = slot;
  around.layer = layer;
  add_label(drawing.sketch, around, slot_point(site, axis, (span.top + copper.top) / 2, 0));
}

}  // namespace

void check_layers(const Machine& machine, const SlotOutline& outline, Faults& faults) {
  if (outline.conductor_width <= 0 || !machine.winding.present) return;
  const Block& slot = machine.stator_slot;
  const Values& v = machine.winding.values;
  const double height = outline.body_bottom - outline.body_top, split = v.number("layer_split");
  const double room = v.integer("layers") == 2 ? height * std::min(split, 1 - split) : height;
  if (outline.conductor_height >= room)
    add_fault(faults, slot, "conductor_height", fmt::format("does not fit into its layer, {} high", millimetres(room)),
              "leave room for the insulation");
  const double width = 2 * std::min(half_width(outline, outline.body_top), half_width(outline, outline.body_bottom));
  if (outline.conductor_width >= width)
    add_fault(faults, slot, "conductor_width", fmt::format("does not fit into the slot, {} wide", millimetres(width)),
              "leave room for the insulation");
}

Region coil_side_region(const Plan& plan, const SideDrawing& drawing, int slot, int layer) {
  const WindingLayout& winding = plan.winding;
  for (const CoilSide& side : winding.sides) {
    if (side.slot != slot || side.layer != layer) continue;
    const char* where = winding.layers == 1 ? "" : layer == 0 ? " bottom layer" : " top layer";
    Region region = make_region(drawing, Role::winding, fmt::format("slot {}{}", slot + 1, where),
                                plan.machine->winding.values.text("material"));
    region.branch = side.phase;
    region.turns = static_cast<double>(side.sign) * winding.turns_per_coil / winding.parallel_paths;
    region.slot = slot;
    region.layer = layer;
    return region;
  }
  Region empty = make_region(drawing, Role::air, fmt::format("slot {}", slot + 1), "air");
  empty.slot = slot;
  empty.layer = layer;
  return empty;
}

void fill_stator_slots(const Plan& plan, SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                       const std::vector<double>& axes) {
  if (outline.open) draw_across(drawing, site, outline, axes, outline.body_top, "top of the slot body");
  const bool wedge = outline.wedge_top >= 0;
  if (wedge) draw_across(drawing, site, outline, axes, outline.wedge_top, "slot wedge");
  const int layers = plan.wound ? plan.winding.layers : 1;
  if (layers == 2)
    draw_across(drawing, site, outline, axes, layer_span(plan, outline, 0).top, "division between the layers");
  for (int k = 0; k < static_cast<int>(axes.size()); ++k) {
    if (wedge) {
      Region region = make_region(drawing, Role::wedge, fmt::format("slot {} wedge", k + 1), outline.wedge_material);
      region.slot = k;
      add_label(drawing.sketch, region, slot_point(site, axes[k], (outline.wedge_top + outline.body_top) / 2, 0));
    }
    for (int layer = 0; layer < layers; ++layer) {
      if (plan.wound && outline.conductor_width > 0) {
        fill_with_rectangle(plan, drawing, site, outline, axes[k], k, layer);
        continue;
      }
      const Span span = layer_span(plan, outline, layer);
      add_label(drawing.sketch, coil_side_region(plan, drawing, k, layer),
                slot_point(site, axes[k], (span.top + span.bottom) / 2, 0));
    }
  }
}

}  // namespace polepitch
