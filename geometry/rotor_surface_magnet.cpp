// Magnets on the surface of a round core, air between them.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/side_types.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

void check(const Machine& machine, double bore, Faults& faults) {
  if (!check_rotor_fits(machine, bore, faults)) return;
  const double room = radius(machine, bore) - shaft_radius(machine) - 0.1e-3;
  if (machine.rotor.values.number("magnet_thickness") < room) return;
  add_fault(faults, machine.rotor, "magnet_thickness", "leaves no core between the magnets and the shaft",
            fmt::format("less than {} fits", rounded_down(room)));
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

Magnetisation magnetisation_of(const Machine& machine, double axis, int pole) {
  const double sign = pole % 2 ? -1 : 1;
  if (machine.rotor.values.text("magnetisation") == "radial") return {Magnetisation::Pattern::radial, 0, sign};
  return {Magnetisation::Pattern::parallel, sign > 0 ? axis : axis + pi, 1};
}

void draw_magnet(const Plan& plan, SideDrawing& drawing, double inner, double axis, int pole) {
  const Machine& machine = *plan.machine;
  const double half = machine.rotor.values.number("magnet_arc") * pi / (2 * machine.pole_pairs());
  const int part = add_part(drawing.sketch, "magnet");
  for (double angle : {axis - half, axis + half})
    add_line(drawing.sketch, polar(inner, angle), polar(plan.rotor_radius, angle), part);
  add_ring_arc(drawing.sketch, plan.rotor_radius, axis - half, axis + half, part);
  Region magnet = make_region(drawing, Role::magnet, fmt::format("magnet {}", pole + 1),
                              machine.rotor.values.text("magnet_material"));
  magnet.magnetisation = magnetisation_of(machine, axis, pole);
  magnet.slot = pole;
  add_label(drawing.sketch, magnet, polar((inner + plan.rotor_radius) / 2, axis));
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const double pitch = pi / machine.pole_pairs(), shaft = shaft_radius(machine);
  const double core = plan.rotor_radius - machine.rotor.values.number("magnet_thickness");
  drawing.start_angle = -pitch / 2;
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  add_ring(drawing, core, "rotor core");
  draw_shaft(plan, drawing, shaft);
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  for (int j = 0; j < plan.in_sector(2 * machine.pole_pairs()); ++j) {
    draw_magnet(plan, drawing, core, j * pitch, j);
    drawing.gauges.push_back(make_yoke_gauge(Gauge::Part::rotor_yoke, Side::rotor,
                                             fmt::format("rotor yoke before pole {}", j + 1), (j - 0.5) * pitch, core,
                                             shaft));
  }
  const double seed = drawing.start_angle + 0.4142 * drawing.sector_angle;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(machine)),
            polar((shaft + core) / 2, seed));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((plan.rotor_radius + drawing.gap_radius) / 2, seed));
}

std::vector<Parameter> parameters() {
  Parameter pattern;
  pattern.name = "magnetisation";
  pattern.form = Form::choice;
  pattern.fallback = "radial";
  pattern.choices = {"radial", "parallel"};
  pattern.sentence = "Direction of the remanence: radial everywhere, or parallel to the pole axis.";
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between magnets and bore."),
      length_parameter("magnet_thickness", 0.2, 500, "", "Radial thickness of the magnets."),
      number_parameter("magnet_arc", 0.05, 1, "0.8", "Share of the pole pitch that a magnet covers."),
      pattern,
      material_parameter("magnet_material", "", "Material of the magnets."),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
  };
}

}  // namespace

const RotorType& surface_magnet_rotor() {
  static const RotorType type{
      {"surface-magnet", "Magnets on the surface of a round core, air between them.", parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
