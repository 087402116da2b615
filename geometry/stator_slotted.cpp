// Laminated core with slots at the air gap: at the bore, or on the outside of a stator that lies inside its rotor.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/side_types.h"
#include "geometry/slots.h"
#include "geometry/winding_regions.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

SlotSite site_of(const Machine& machine) {
  SlotSite site;
  site.block = &machine.stator_slot;
  const bool inside = rotor_outside(machine);
  site.radius = stator_radius(machine);
  site.direction = inside ? -1 : 1;
  site.count = machine.stator.values.integer("slots");
  site.floor_radius = machine.stator.values.number(inside ? "inner_diameter" : "outer_diameter") / 2;
  site.surface = inside ? "at the stator surface" : "at the bore";
  return site;
}

void check(const Machine& machine, Faults& faults) {
  const SlotSite site = site_of(machine);
  const std::string surface = millimetres(2 * site.radius);
  if (site.direction > 0 && site.floor_radius <= site.radius)
    return add_fault(faults, machine.stator, "outer_diameter", "is not larger than the bore, " + surface,
                     "make it larger than bore_diameter by the slots and the yoke");
  if (site.direction < 0 && site.floor_radius >= site.radius)
    return add_fault(faults, machine.stator, "inner_diameter", "is not smaller than the core, " + surface,
                     "make it smaller than outer_diameter by the slots and the yoke");
  const SlotOutline outline = slot_type(machine.stator_slot).outline(site, faults);
  check_slots(site, outline, faults);
  check_conductor(site, outline, smallest_layer(machine.winding, outline), faults);
}

Symmetry symmetry(const Machine& machine) {
  return {machine.stator.values.integer("slots"), 0};
}

int slots(const Block& stator) {
  return stator.values.integer("slots");
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const SlotSite site = site_of(machine);
  Faults none;
  const SlotOutline outline = slot_type(machine.stator_slot).outline(site, none);
  // From tooth centre to tooth centre, so that no sector edge cuts a slot.
  drawing.start_angle = plan.winding.slot_angle(0) - pi / site.count;
  std::vector<double> axes;
  for (int k = 0; k < plan.in_sector(site.count); ++k) axes.push_back(plan.winding.slot_angle(k));

  add_ring(drawing, drawing.gap_radius, "gap circle of the stator");
  if (site.direction > 0) {
    drawing.far_radius = site.floor_radius;
    add_ring(drawing, drawing.far_radius, "outer surface of the stator");
  } else {
    draw_shaft(plan, drawing, site.floor_radius);
  }
  add_edges(drawing, drawing.gap_radius, drawing.far_radius);
  draw_slots(drawing, site, outline, axes, "stator slot");
  const double tooth = drawing.start_angle + 1e-3 * drawing.sector_angle / static_cast<double>(axes.size());
  add_label(drawing.sketch,
            make_region(drawing, Role::core, "stator core", machine.general.values.text("stator_material")),
            polar((site.radius + site.direction * outline.points.back().depth + site.floor_radius) / 2, axes[0]));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, stator side", "air"),
            polar((drawing.gap_radius + site.radius) / 2, tooth));
  fill_slots(drawing, site, outline, axes, winding_filling(plan, drawing));
  add_tooth_gauges(drawing, site, outline, axes, plan.sign);
  add_yoke_gauges(drawing, site, outline, axes);
}

}  // namespace

const StatorType& slotted_stator() {
  static const StatorType type{
      {"slotted",
       "Laminated stator core with slots at the bore.",
       {
           integer_parameter("slots", 3, 500, "", "Number of stator slots."),
           length_parameter("bore_diameter", 5, 20000, "", "Inner diameter of the stator core."),
           length_parameter("outer_diameter", 10, 25000, "", "Outer diameter of the stator core."),
       },
       true},
      slots,
      check,
      symmetry,
      draw};
  return type;
}

const StatorType& inner_slotted_stator() {
  static const StatorType type = [] {
    CatalogueEntry entry{
        "inner-slotted",
        "Laminated stator core inside its rotor, with slots on its outside.",
        {
            integer_parameter("slots", 3, 500, "", "Number of stator slots."),
            length_parameter("outer_diameter", 5, 20000, "", "Outer diameter of the stator core, at the air gap."),
            length_parameter("inner_diameter", 0, 20000, "0",
                             "Diameter of the hole in the stator core, where machine.shaft is; 0 means "
                             "none."),
        },
        true};
    entry.rotor_outside = true;
    return StatorType{std::move(entry), slots, check, symmetry, draw};
  }();
  return type;
}

}  // namespace polepitch
