// Squirrel cage: slots of any shape, each filled with one bar.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/side_types.h"
#include "geometry/slot_filling.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

Parameter optional_length(const char* name, double lower, double upper, const char* sentence) {
  Parameter p = length_parameter(name, lower, upper, "", sentence);
  p.optional = true;
  return p;
}

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

SlotSite site_of(const Machine& machine, double bore) {
  SlotSite site;
  site.block = &machine.rotor_slot;
  site.radius = radius(machine, bore);
  site.direction = -1;
  site.count = machine.rotor.values.integer("bars");
  site.floor_radius = shaft_radius(machine);
  site.surface = "at the rotor surface";
  return site;
}

/// All three dimensions of the rings, or none.
void check_rings(const Machine& machine, Faults& faults) {
  const Values& v = machine.rotor.values;
  const char* const keys[] = {"ring_height", "ring_width", "ring_mean_diameter"};
  std::string given, missing;
  for (const char* key : keys) (v.has(key) ? given : missing) = key;
  if (!given.empty() && !missing.empty())
    faults.push_back({v.place(given), fmt::format("rotor.{} is missing beside rotor.{}", missing, given),
                      "an end ring needs its height, width and mean diameter"});
}

void check(const Machine& machine, double bore, Faults& faults) {
  check_rings(machine, faults);
  if (!check_rotor_fits(machine, bore, faults)) return;
  const SlotSite site = site_of(machine, bore);
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, faults);
  check_slots(site, outline, faults);
  check_conductor(site, outline, outline.body_bottom - outline.body_top, faults);
}

Symmetry symmetry(const Machine& machine) {
  return {machine.rotor.values.integer("bars"), 0};
}

void add_branches(SideDrawing& drawing, const std::vector<double>& axes) {
  for (std::size_t k = 0; k < axes.size(); ++k)
    drawing.branches.push_back({fmt::format("bar {}", k + 1), BranchKind::bar, axes[k]});
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const SlotSite site = site_of(machine, plan.bore_radius);
  Faults none;
  const SlotOutline outline = slot_type(machine.rotor_slot).outline(site, none);
  drawing.start_angle = -pi / site.count;  // between bars; the first bar lies on the d-axis
  std::vector<double> axes;
  for (int k = 0; k < plan.in_sector(site.count); ++k) axes.push_back(k * 2 * pi / site.count);
  add_branches(drawing, axes);
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  draw_shaft(plan, drawing, site.floor_radius);
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  draw_slots(drawing, site, outline, axes, "rotor slot");
  const double bottom = site.radius - outline.points.back().depth;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(machine)),
            polar((site.floor_radius + bottom) / 2, 0));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((site.radius + drawing.gap_radius) / 2, drawing.start_angle + 1e-3 * pi / site.count));
  SlotFilling filling;
  filling.coil_side = [&](int k, int) {
    Region bar =
        make_region(drawing, Role::bar, fmt::format("bar {}", k + 1), machine.rotor.values.text("bar_material"));
    bar.branch = k;
    bar.turns = 1;
    bar.slot = k;
    return bar;
  };
  fill_slots(drawing, site, outline, axes, filling);
  add_tooth_gauges(drawing, site, outline, axes, plan.sign);
  add_yoke_gauges(drawing, site, outline, axes);
}

}  // namespace

const RotorType& cage_rotor() {
  static const RotorType type{
      {"cage",
       "Squirrel cage: slots of any shape, open or closed, each filled with one bar.",
       {
           length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
           integer_parameter("bars", 3, 500, "", "Number of bars."),
           material_parameter("bar_material", "aluminium", "Material of the bars."),
           length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
           optional_length("ring_height", 0.1, 1000, "Radial height of an end ring."),
           optional_length("ring_width", 0.1, 1000, "Axial width of an end ring."),
           optional_length("ring_mean_diameter", 1, 20000, "Mean diameter of an end ring."),
       },
       true},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
