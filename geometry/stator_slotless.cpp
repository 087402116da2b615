// Smooth surface: a winding shell of equal sectors (or air) on a plain ring, on its inside, or on its outside where the
// stator lies inside its rotor.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/side_types.h"
#include "geometry/winding_regions.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

struct Shell {
  double face, back, far;  // radii of the winding at the air gap, of the core behind it, of the core's other side
  int zones;
  double zone_angle;
  bool inside;  // of the rotor

  bool thick() const { return face != back; }
};

Shell shell_of(const Machine& machine) {
  const Values& v = machine.stator.values;
  const bool inside = rotor_outside(machine);
  const double face = stator_radius(machine), height = v.number("shell_thickness");
  return {face,
          inside ? face - height : face + height,
          v.number(inside ? "inner_diameter" : "outer_diameter") / 2,
          v.integer("zones"),
          v.number("zone_angle"),
          inside};
}

bool wound_shell(const Machine& machine) {
  return machine.winding.present && shell_of(machine).thick();
}

int slots(const Block& stator) {
  return stator.values.integer("zones");
}

void check(const Machine& machine, Faults& faults) {
  const Shell s = shell_of(machine);
  const Block& stator = machine.stator;
  if (!s.inside && s.far <= s.back)
    add_fault(faults, stator, "outer_diameter",
              fmt::format("is not larger than the core's inner diameter, {}", millimetres(2 * s.back)),
              "make it larger than bore_diameter + 2 shell_thickness");
  const double least_core = 0.1e-3;
  if (s.inside && s.back < least_core)
    return add_fault(faults, stator, "shell_thickness",
                     fmt::format("leaves no core, the stator is {} in diameter", millimetres(2 * s.face)),
                     "less than half of outer_diameter");
  if (s.inside && s.far > s.back - least_core)
    add_fault(faults, stator, "inner_diameter",
              fmt::format("leaves no core under the winding shell, {} in diameter", millimetres(2 * s.back)),
              fmt::format("at most {}", rounded_down(2 * (s.back - least_core))));
  if (!machine.winding.present) return;
  if (!s.thick())
    add_fault(faults, stator, "shell_thickness", "leaves no room for the winding",
              "state the height of the winding shell");
  if (s.zone_angle > 2 * pi / s.zones * (1 + 1e-9))
    faults.push_back({stator.values.place("zone_angle"),
                      fmt::format("stator.zone_angle = {} is wider than the pitch of {} zones, {}",
                                  format_quantity(Kind::angle, s.zone_angle, "deg"), s.zones,
                                  format_quantity(Kind::angle, 2 * pi / s.zones, "deg")),
                      "make the zones narrower or have fewer of them"});
  const Values& w = machine.winding.values;
  if (w.has("layers") && w.integer("layers") != 1)
    faults.push_back({w.place("layers"), "winding.layers must be 1 with a slotless stator", "set layers = 1"});
}

Symmetry symmetry(const Machine& machine) {
  return {wound_shell(machine) ? shell_of(machine).zones : 0, 0};
}

// Boundaries between zones; neighbours that touch share one line.
void draw_zones(const Plan& plan, SideDrawing& drawing, const Shell& shell) {
  const int lines = add_part(drawing.sketch, "side of a winding zone");
  const double pitch = 2 * pi / shell.zones;
  const int count = plan.in_sector(shell.zones);
  const bool gaps = shell.zone_angle < pitch * (1 - 1e-9);
  const double r = (shell.face + shell.back) / 2;
  for (int k = 0; k < count; ++k) {
    const double axis = plan.winding.slot_angle(k);
    for (double angle : {axis - shell.zone_angle / 2, axis + shell.zone_angle / 2})
      add_line(drawing.sketch, polar(shell.face, angle), polar(shell.back, angle), lines);
    add_label(drawing.sketch, coil_side_region(plan, drawing, k, 0), polar(r, axis));
    if (!gaps) continue;
    // The first and the last gap meet at the sector's end: each is half a gap unless the circle is closed.
    const double quarter = (pitch - shell.zone_angle) / 4;
    add_label(drawing.sketch, make_region(drawing, Role::air, fmt::format("between winding zones {}", k + 1), "air"),
              polar(r, axis - pitch / 2 + quarter));
    if (k + 1 == count && !drawing.closed)
      add_label(drawing.sketch, make_region(drawing, Role::air, fmt::format("between winding zones {}", k + 2), "air"),
                polar(r, axis + pitch / 2 - quarter));
  }
}

void draw_lines(const Plan& plan, SideDrawing& drawing, const Shell& shell) {
  add_ring(drawing, drawing.gap_radius, "gap circle of the stator");
  add_ring(drawing, shell.face, "surface of the stator");
  if (shell.thick()) add_ring(drawing, shell.back, "stator core under the winding");
  if (shell.inside) {
    draw_shaft(plan, drawing, shell.far);
  } else {
    drawing.far_radius = shell.far;
    add_ring(drawing, shell.far, "outer surface of the stator");
  }
  add_edges(drawing, drawing.gap_radius, drawing.far_radius);
}

// A label sits a little away from angles at which other lines may start.
double seed_angle(const SideDrawing& drawing) {
  return drawing.start_angle + 0.4142 * drawing.sector_angle;
}

void add_gauges(const Plan& plan, SideDrawing& drawing, const Shell& shell) {
  const int cuts = plan.wound ? plan.in_sector(shell.zones) : 12;
  for (int k = 0; k < cuts; ++k)
    drawing.gauges.push_back(
        make_yoke_gauge(Gauge::Part::stator_yoke, Side::stator, fmt::format("stator yoke {}", k + 1),
                        drawing.start_angle + (k + 0.5) / cuts * drawing.sector_angle, shell.back, shell.far));
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const Shell& shell) {
  const double angle = drawing.start_angle + drawing.sector_angle / 2;
  if (shell.thick())
    add_dimension(drawing, plan.machine->stator, "shell_thickness", polar(shell.face, angle), polar(shell.back, angle));
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Shell shell = shell_of(*plan.machine);
  drawing.start_angle =
      plan.wound ? plan.winding.slot_angle(0) - pi / shell.zones : -pi / (2 * plan.machine->pole_pairs());
  draw_lines(plan, drawing, shell);
  const double angle = seed_angle(drawing);
  const Role role = plan.machine->stator.values.flag("laminated") ? Role::core : Role::layer;
  add_label(drawing.sketch,
            make_region(drawing, role, "stator core", plan.machine->general.values.text("stator_material")),
            polar((shell.back + shell.far) / 2, angle));
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, stator side", "air"),
            polar((drawing.gap_radius + shell.face) / 2, angle));
  if (shell.thick()) {
    if (plan.wound)
      draw_zones(plan, drawing, shell);
    else
      add_label(drawing.sketch, make_region(drawing, Role::air, "winding shell", "air"),
                polar((shell.face + shell.back) / 2, angle));
  }
  add_gauges(plan, drawing, shell);
  add_dimensions(plan, drawing, shell);
}

std::vector<Parameter> parameters(Parameter face, Parameter far) {
  Parameter angle = number_parameter("zone_angle", 0.1, 180, "60 deg",
                                     "Angle that each winding zone covers; the rest of its pitch is air.");
  angle.kind = Kind::angle;
  angle.unit = "deg";
  Parameter laminated;
  laminated.name = "laminated";
  laminated.form = Form::flag;
  laminated.fallback = "true";
  laminated.sentence = "Whether the core is laminated (the stacking factor counts) or solid.";
  return {std::move(face), length_parameter("shell_thickness", 0, 2000, "0", "Radial height of the winding shell."),
          std::move(far),  integer_parameter("zones", 2, 500, "6", "Number of winding zones, which stand for slots."),
          angle,           laminated};
}

}  // namespace

const StatorType& slotless_stator() {
  static const StatorType type{
      {"slotless", "Smooth bore: a winding shell of equal zones on the inside of a plain ring.",
       parameters(length_parameter("bore_diameter", 5, 20000, "", "Inner diameter of the winding shell."),
                  length_parameter("outer_diameter", 10, 25000, "", "Outer diameter of the stator core.")),
       false},
      slots,
      check,
      symmetry,
      draw};
  return type;
}

const StatorType& inner_slotless_stator() {
  static const StatorType type = [] {
    CatalogueEntry entry{
        "inner-slotless",
        "Smooth stator inside its rotor: a winding shell of equal zones on the outside of a plain ring.",
        parameters(length_parameter("outer_diameter", 5, 20000, "", "Outer diameter of the winding shell."),
                   length_parameter("inner_diameter", 0, 20000, "0",
                                    "Diameter of the hole in the stator core, where machine.shaft is; 0 means none."))};
    entry.rotor_outside = true;
    return StatorType{std::move(entry), slots, check, symmetry, draw};
  }();
  return type;
}

}  // namespace polepitch
