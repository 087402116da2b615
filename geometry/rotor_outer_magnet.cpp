// Magnets on the inside of a ring that turns around the stator, air between them.
#include <numbers>

#include <fmt/format.h>

#include "geometry/pole_parts.h"
#include "geometry/side_types.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius(const Machine& machine, double stator) {
  return stator + machine.rotor.values.number("air_gap");
}

/// A magnet and the ring behind it, from the air gap outwards.
struct OuterMagnet {
  double face = 0, back = 0, far = 0;  // radii of the magnets' faces, of the ring's inside and outside
  double half = 0;                     // rad, half of what a magnet covers
  double pitch = 0;                    // rad, of the poles
};

OuterMagnet outer_magnet(const Machine& machine, double stator) {
  const Values& v = machine.rotor.values;
  OuterMagnet m;
  m.face = radius(machine, stator);
  m.back = m.face + v.number("magnet_thickness");
  m.far = v.number("outer_diameter") / 2;
  m.pitch = pi / machine.pole_pairs();
  m.half = v.number("magnet_arc") * m.pitch / 2;
  return m;
}

std::vector<Misfit> search(const Machine& machine, double stator) {
  const OuterMagnet m = outer_magnet(machine, stator);
  if (m.far < m.back + least_iron)
    return {{"outer_diameter",
             fmt::format("leaves no yoke around the magnets, which reach {} in diameter", millimetres(2 * m.back))}};
  return {};
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

// The flux of the magnet on the d-axis crosses the gap outwards, as with every rotor.
Magnetisation magnetisation_of(const Machine& machine, double axis, int pole) {
  const double sign = pole % 2 ? -1 : 1;
  if (machine.rotor.values.text("magnetisation") == "radial") return {Magnetisation::Pattern::radial, 0, sign};
  return {Magnetisation::Pattern::parallel, sign > 0 ? axis : axis + pi, 1};
}

void draw_magnet(const Plan& plan, SideDrawing& drawing, const OuterMagnet& m, int pole) {
  const Machine& machine = *plan.machine;
  const double axis = pole * m.pitch;
  const int part = add_part(drawing.sketch, "magnet");
  for (int hand : {1, -1})
    add_line(drawing.sketch, polar(m.face, axis + hand * m.half), polar(m.back, axis + hand * m.half), part);
  add_ring_arc(drawing.sketch, m.face, axis - m.half, axis + m.half, part);
  Region magnet = make_region(drawing, Role::magnet, fmt::format("magnet {}", pole + 1),
                              machine.rotor.values.text("magnet_material"));
  magnet.magnetisation = magnetisation_of(machine, axis, pole);
  magnet.slot = pole;
  add_label(drawing.sketch, magnet, polar((m.face + m.back) / 2, axis));
  drawing.gauges.push_back(make_yoke_gauge(Gauge::Part::rotor_yoke, Side::rotor,
                                           fmt::format("rotor yoke before pole {}", pole + 1), axis - m.pitch / 2,
                                           m.back, m.far));
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const OuterMagnet& m) {
  add_dimension(drawing, plan.machine->rotor, "magnet_thickness", polar(m.face, 0), polar(m.back, 0));
  add_measure(drawing, "magnet width", polar(m.face, -m.half), polar(m.face, m.half));
  add_air_gap(drawing, plan, -m.half / 2);
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const OuterMagnet m = outer_magnet(machine, plan.stator_radius);
  drawing.start_angle = -m.pitch / 2;
  drawing.far_radius = m.far;
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  add_ring(drawing, m.back, "inside of the rotor core");
  add_ring(drawing, m.far, "outer surface of the rotor");
  add_edges(drawing, drawing.gap_radius, m.far);
  for (int pole = 0; pole < plan.in_sector(2 * machine.pole_pairs()); ++pole) draw_magnet(plan, drawing, m, pole);
  add_dimensions(plan, drawing, m);
  const double seed = drawing.start_angle + 0.4142 * drawing.sector_angle;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(machine)),
            polar((m.back + m.far) / 2, seed));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((m.face + drawing.gap_radius) / 2, seed));
}

std::vector<Parameter> parameters() {
  Parameter magnetisation = material_parameter(
      "magnetisation", "radial", "Direction of the remanence: radial everywhere, or parallel to the pole axis.");
  magnetisation.form = Form::choice;
  magnetisation.choices = {"radial", "parallel"};
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between stator and magnets."),
      length_parameter("magnet_thickness", 0.2, 500, "", "Radial thickness of the magnets."),
      number_parameter("magnet_arc", 0.05, 1, "0.8", "Share of the pole pitch that a magnet covers."),
      magnetisation,
      material_parameter("magnet_material", "", "Material of the magnets."),
      length_parameter("outer_diameter", 5, 25000, "", "Outer diameter of the ring that carries the magnets."),
  };
}

void check(const Machine& machine, double stator, Faults& faults) {
  report_misfits(
      machine, parameters(), [stator](const Machine& m) { return search(m, stator); }, faults);
}

}  // namespace

const RotorType& outer_magnet_rotor() {
  static const RotorType type = [] {
    CatalogueEntry entry{"outer-surface-magnet",
                         "Rotor around the stator: magnets on the inside of a ring, air between them.", parameters()};
    entry.rotor_outside = true;
    return RotorType{std::move(entry), radius, check, symmetry, draw};
  }();
  return type;
}

}  // namespace polepitch
