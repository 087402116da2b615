#include "geometry/slot_filling.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace polepitch {

namespace {

struct Span {
  double top, bottom;  // depths
};

Span layer_span(const SlotFilling& filling, const SlotOutline& outline, int layer) {
  if (filling.layers == 1) return {outline.body_top, outline.body_bottom};
  if (outline.slit_top >= 0)
    return layer == 0 ? Span{outline.slit_bottom, outline.body_bottom} : Span{outline.body_top, outline.slit_top};
  const double split = outline.body_bottom - filling.split * (outline.body_bottom - outline.body_top);
  return layer == 0 ? Span{split, outline.body_bottom} : Span{outline.body_top, split};
}

void draw_rectangle(SideDrawing& drawing, const SlotSite& site, double axis, Span span, double width, int part) {
  const Point corners[4] = {
      slot_point(site, axis, span.top, -width / 2), slot_point(site, axis, span.bottom, -width / 2),
      slot_point(site, axis, span.bottom, width / 2), slot_point(site, axis, span.top, width / 2)};
  for (int i = 0; i < 4; ++i) add_line(drawing.sketch, corners[i], corners[(i + 1) % 4], part);
}

// A rectangular coil side in the middle of its layer, insulation around it.
void place_rectangle(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, double axis, Span span,
                     Region coil_side) {
  const double middle = (span.top + span.bottom) / 2, h = outline.conductor_height;
  const Span copper{middle - h / 2, middle + h / 2};
  draw_rectangle(drawing, site, axis, copper, outline.conductor_width, add_part(drawing.sketch, "coil side"));
  Region around = make_region(drawing, Role::insulation, fmt::format("insulation around {}", coil_side.name), "air");
  around.slot = coil_side.slot;
  around.layer = coil_side.layer;
  add_label(drawing.sketch, std::move(coil_side), slot_point(site, axis, middle, 0));
  add_label(drawing.sketch, std::move(around), slot_point(site, axis, (span.bottom + copper.bottom) / 2, 0));
}

void place_wedge(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, double axis, int slot) {
  const char* side = drawing.side == Side::stator ? "stator" : "rotor";
  Region wedge =
      make_region(drawing, Role::wedge, fmt::format("{} slot {} wedge", side, slot + 1), outline.wedge_material);
  wedge.slot = slot;
  add_label(drawing.sketch, wedge, slot_point(site, axis, (outline.wedge_top + outline.body_top) / 2, 0));
}

// Both ends of the slit, as wide as the slit itself.
void draw_slit(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
               const std::vector<double>& axes) {
  const int part = add_part(drawing.sketch, "slit between the bodies");
  const double half = half_width(outline, 0.5 * (outline.slit_top + outline.slit_bottom));
  for (double axis : axes)
    for (double depth : {outline.slit_top, outline.slit_bottom})
      add_line(drawing.sketch, slot_point(site, axis, depth, -half), slot_point(site, axis, depth, half), part);
}

void place_slit(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, double axis, int slot) {
  const char* side = drawing.side == Side::stator ? "stator" : "rotor";
  Region slit = make_region(drawing, Role::air, fmt::format("{} slot {} slit", side, slot + 1), "air");
  slit.slot = slot;
  add_label(drawing.sketch, slit, slot_point(site, axis, (outline.slit_top + outline.slit_bottom) / 2, 0));
}

}  // namespace

void check_conductor(const SlotSite& site, const SlotOutline& outline, double layer_height, Faults& faults) {
  if (outline.conductor_width <= 0) return;
  if (outline.conductor_height >= layer_height)
    add_fault(faults, *site.block, "coil_side_height",
              fmt::format("does not fit into its layer, {} high", millimetres(layer_height)),
              fmt::format("less than {}, the rest is insulation", rounded_down(layer_height)));
  const double width = 2 * std::min(half_width(outline, outline.body_top), half_width(outline, outline.body_bottom));
  if (outline.conductor_width >= width)
    add_fault(faults, *site.block, "coil_side_width",
              fmt::format("does not fit into the slot, {} wide", millimetres(width)),
              fmt::format("less than {}, the rest is insulation", rounded_down(width)));
}

void fill_slots(SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline, const std::vector<double>& axes,
                const SlotFilling& filling) {
  if (outline.open) draw_across(drawing, site, outline, axes, outline.body_top, "top of the slot body");
  const bool wedge = outline.wedge_top >= outline.points.front().depth;
  if (wedge) draw_across(drawing, site, outline, axes, outline.wedge_top, "slot wedge");
  const bool slit = filling.layers == 2 && outline.slit_top >= 0;
  if (slit)
    draw_slit(drawing, site, outline, axes);
  else if (filling.layers == 2)
    draw_across(drawing, site, outline, axes, layer_span(filling, outline, 0).top, "division between the layers");
  for (int k = 0; k < static_cast<int>(axes.size()); ++k) {
    if (wedge) place_wedge(drawing, site, outline, axes[k], k);
    if (slit) place_slit(drawing, site, outline, axes[k], k);
    for (int layer = 0; layer < filling.layers; ++layer) {
      const Span span = layer_span(filling, outline, layer);
      Region coil_side = filling.coil_side(k, layer);
      if (outline.conductor_width > 0 && coil_side.branch >= 0)
        place_rectangle(drawing, site, outline, axes[k], span, std::move(coil_side));
      else  // the mouth may lie before the surface, but the slot begins there
        add_label(drawing.sketch, std::move(coil_side),
                  slot_point(site, axes[k], (std::max(span.top, 0.0) + span.bottom) / 2, 0));
    }
  }
}

}  // namespace polepitch
