// Magnets on the surface of a core, air between them: shells of even thickness on a round core or bread-loaf magnets
// with flat bottoms; a sleeve may hold them.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/pole_parts.h"
#include "geometry/side_types.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

double pole_pitch(const Machine& machine) {
  return pi / machine.pole_pairs();
}

/// The magnet on the x axis and the core under it.
struct SurfaceMagnet {
  bool flat = false;               // bottom of a bread-loaf
  double surface = 0, outer = 0;   // of the rotor, of the magnets: less by the sleeve
  double bottom = 0;               // on the pole axis: radius of the shell's core, x of the flat bottom
  double half = 0;                 // rad, where the outer face ends
  double core = 0, core_half = 0;  // radius of the core between the magnets, angle of the magnet's foot
};

SurfaceMagnet surface_magnet(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  SurfaceMagnet m;
  m.flat = v.text("magnet_shape") == "bread-loaf";
  m.surface = radius(machine, bore);
  m.outer = m.surface - v.number("sleeve_thickness");
  m.bottom = m.outer - v.number("magnet_thickness");
  m.half = v.number("magnet_arc") * pole_pitch(machine) / 2;
  m.core = m.flat ? std::hypot(m.bottom, m.outer * std::sin(m.half)) : m.bottom;
  m.core_half = m.flat ? std::atan2(m.outer * std::sin(m.half), m.bottom) : m.half;
  return m;
}

std::vector<Misfit> search(const Machine& machine, double bore) {
  const SurfaceMagnet m = surface_magnet(machine, bore);
  const Values& v = machine.rotor.values;
  std::vector<Misfit> found;
  if (const double t = v.number("sleeve_thickness"); t > 0 && t < least_iron)
    found.push_back({"sleeve_thickness", "is too thin to be drawn"});
  if (m.outer <= shaft_radius(machine) + least_iron)
    return {{"sleeve_thickness", "leaves no room for magnets under it"}};
  if (m.bottom <= shaft_radius(machine) + least_iron)
    return {{"magnet_thickness", "leaves no core between the magnets and the shaft"}};
  if (!m.flat) return found;
  if (m.outer * std::cos(m.half) < m.bottom + least_iron - 1e-9)
    found.push_back({"magnet_thickness", "leaves no edge at the sides of a bread-loaf magnet of this arc"});
  else if (m.core * std::sin(std::min(pole_pitch(machine) / 2 - m.core_half, pi / 2)) < least_iron - 1e-9)
    found.push_back({"magnet_arc", "lets the feet of neighbouring bread-loaf magnets meet"});
  return found;
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

Magnetisation magnetisation_of(const Machine& machine, double axis, int pole) {
  const double sign = pole % 2 ? -1 : 1;
  if (machine.rotor.values.text("magnetisation") == "radial") return {Magnetisation::Pattern::radial, 0, sign};
  return {Magnetisation::Pattern::parallel, sign > 0 ? axis : axis + pi, 1};
}

void draw_magnet(const Plan& plan, SideDrawing& drawing, const SurfaceMagnet& m, double axis, int pole) {
  const Machine& machine = *plan.machine;
  const int part = add_part(drawing.sketch, "magnet");
  for (int hand : {1, -1})
    add_line(drawing.sketch, polar(m.core, axis + hand * m.core_half), polar(m.outer, axis + hand * m.half), part);
  add_ring_arc(drawing.sketch, m.outer, axis - m.half, axis + m.half, part);
  if (m.flat) add_line(drawing.sketch, polar(m.core, axis - m.core_half), polar(m.core, axis + m.core_half), part);
  Region magnet = make_region(drawing, Role::magnet, fmt::format("magnet {}", pole + 1),
                              machine.rotor.values.text("magnet_material"));
  magnet.magnetisation = magnetisation_of(machine, axis, pole);
  magnet.slot = pole;
  add_label(drawing.sketch, magnet, polar((m.bottom + m.outer) / 2, axis));
}

void draw_core(SideDrawing& drawing, const SurfaceMagnet& m, const std::vector<double>& axes) {
  if (!m.flat) return add_ring(drawing, m.core, "rotor core");
  const int part = add_part(drawing.sketch, "rotor core");
  double from = drawing.start_angle;
  for (double axis : axes) {
    add_ring_arc(drawing.sketch, m.core, from, axis - m.core_half, part);
    from = axis + m.core_half;
  }
  add_ring_arc(drawing.sketch, m.core, from, drawing.start_angle + drawing.sector_angle, part);
}

// The sleeve closes the spaces between the magnets, which are then pieces of their own.
void draw_sleeve(const Plan& plan, SideDrawing& drawing, const SurfaceMagnet& m, int poles) {
  add_ring(drawing, m.outer, "inside of the sleeve");
  add_ring(drawing, m.surface, "sleeve");
  add_label(drawing.sketch,
            make_region(drawing, Role::sleeve, "sleeve", plan.machine->rotor.values.text("sleeve_material")),
            polar((m.outer + m.surface) / 2, drawing.start_angle + 0.4142 * drawing.sector_angle));
  const double pitch = pole_pitch(*plan.machine), free = pitch / 2 - std::max(m.half, m.core_half);
  if (free <= 1e-9) return;
  const int pieces = poles + (drawing.closed ? 0 : 1);
  for (int j = 0; j < pieces; ++j)
    add_label(drawing.sketch, make_region(drawing, Role::air, fmt::format("space before magnet {}", j + 1), "air"),
              polar((m.core + m.outer) / 2, drawing.start_angle + j * pitch + (j == poles ? -free / 2 : free / 2)));
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const SurfaceMagnet& m) {
  const Block& rotor = plan.machine->rotor;
  add_dimension(drawing, rotor, "magnet_thickness", polar(m.bottom, 0), polar(m.outer, 0));
  add_measure(drawing, "magnet width", polar(m.outer, -m.half), polar(m.outer, m.half));
  if (m.surface > m.outer)
    add_dimension(drawing, rotor, "sleeve_thickness", polar(m.outer, m.half / 2), polar(m.surface, m.half / 2));
  add_air_gap(drawing, plan, -m.half / 2);
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const SurfaceMagnet m = surface_magnet(machine, plan.stator_radius);
  const double pitch = pole_pitch(machine), shaft = shaft_radius(machine);
  const int poles = plan.in_sector(2 * machine.pole_pairs());
  std::vector<double> axes;
  for (int j = 0; j < poles; ++j) axes.push_back(j * pitch);
  drawing.start_angle = -pitch / 2;
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  draw_core(drawing, m, axes);
  draw_shaft(plan, drawing, shaft);
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  for (int j = 0; j < poles; ++j) {
    draw_magnet(plan, drawing, m, axes[j], j);
    drawing.gauges.push_back(make_yoke_gauge(Gauge::Part::rotor_yoke, Side::rotor,
                                             fmt::format("rotor yoke before pole {}", j + 1), (j - 0.5) * pitch, m.core,
                                             shaft));
  }
  add_dimensions(plan, drawing, m);
  if (m.surface > m.outer) draw_sleeve(plan, drawing, m, poles);
  const double seed = drawing.start_angle + 0.4142 * drawing.sector_angle;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(machine)),
            polar((shaft + m.bottom) / 2, seed));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((plan.rotor_radius + drawing.gap_radius) / 2, seed));
}

Parameter choice(const char* name, std::vector<std::string> choices, const char* sentence) {
  Parameter p;
  p.name = name;
  p.form = Form::choice;
  p.fallback = choices.front();
  p.choices = std::move(choices);
  p.sentence = sentence;
  return p;
}

std::vector<Parameter> parameters() {
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between magnets, or their sleeve, and bore."),
      length_parameter("magnet_thickness", 0.2, 500, "", "Radial thickness of the magnets, on the pole axis."),
      number_parameter("magnet_arc", 0.05, 1, "0.8", "Share of the pole pitch that a magnet's outer face covers."),
      choice("magnet_shape", {"shell", "bread-loaf"},
             "Shells of even thickness, or bread-loaf magnets with a flat bottom and parallel sides."),
      choice("magnetisation", {"radial", "parallel"},
             "Direction of the remanence: radial everywhere, or parallel to the pole axis."),
      material_parameter("magnet_material", "", "Material of the magnets."),
      length_parameter("sleeve_thickness", 0, 100, "0", "Thickness of a sleeve around the magnets; 0 means none."),
      material_parameter("sleeve_material", "austenitic-steel", "Material of the sleeve."),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
  };
}

void check(const Machine& machine, double bore, Faults& faults) {
  if (!check_rotor_fits(machine, bore, faults)) return;
  report_misfits(
      machine, parameters(), [bore](const Machine& m) { return search(m, bore); }, faults);
}

}  // namespace

const RotorType& surface_magnet_rotor() {
  static const RotorType type{{"surface-magnet",
                               "Magnets on the surface of a core, air between them, with or without a sleeve around "
                               "them.",
                               parameters(), false},
                              radius,
                              check,
                              symmetry,
                              draw};
  return type;
}

}  // namespace polepitch
