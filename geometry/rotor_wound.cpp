// Wound rotor: a winding of coils in slots of any shape, led out to slip rings.
#include "geometry/side_types.h"

#include <cctype>

#include "geometry/rotor_core.h"
#include "geometry/winding_regions.h"

namespace polepitch {

namespace {

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

SlotSite site_of(const Machine& machine, double bore) {
  SlotSite site;
  site.block = &machine.rotor_slot;
  site.radius = radius(machine, bore);
  site.direction = -1;
  site.count = machine.rotor.values.integer("slots");
  site.floor_radius = shaft_radius(machine);
  site.surface = "at the rotor surface";
  return site;
}

void check(const Machine& machine, double bore, Faults& faults) {
  if (!check_rotor_fits(machine, bore, faults)) return;
  const SlotSite site = site_of(machine, bore);
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, faults);
  check_slots(site, outline, faults);
  check_conductor(site, outline, smallest_layer(machine.rotor_winding, outline), faults);
}

Symmetry symmetry(const Machine& machine) {
  return {machine.rotor.values.integer("slots"), 0};
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const WindingLayout& winding = plan.rotor_winding;
  const SlotSite site = site_of(machine, plan.stator_radius);
  Faults none;
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, none);
  drawing.start_angle = winding.slot_angle(0) - 3.14159265358979323846 / site.count;
  std::vector<double> axes;
  for (int k = 0; k < plan.in_sector(site.count); ++k) axes.push_back(winding.slot_angle(k));
  for (int k = 0; k < winding.phases; ++k) {
    std::string name = phase_name(k);
    for (char& c : name) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    drawing.branches.push_back({name, BranchKind::rotor_phase, phase_axis(winding.phases, k) / machine.pole_pairs()});
  }
  draw_rotor_core(plan, drawing, site, outline, axes);
  fill_slots(drawing, site, outline, axes, winding_filling(plan, drawing));
  add_tooth_gauges(drawing, site, outline, axes, plan.sign);
  add_yoke_gauges(drawing, site, outline, axes);
}

}  // namespace

const RotorType& wound_rotor() {
  static const RotorType type{
      {"wound",
       "Wound rotor with slip rings: the winding of [rotor.winding] in slots of any shape; phase a's axis is the "
       "d-axis.",
       {
           length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
           integer_parameter("slots", 3, 500, "", "Number of rotor slots."),
           length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
       },
       true,
       true},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
