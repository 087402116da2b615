// One flat magnet a pole inside a round core; pockets of air at its ends reach up to thin bridges under the surface.
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

double half_pitch(const Machine& machine) {
  return pi / (2 * machine.pole_pairs());
}

/// The pole on the x axis.
struct FlatMagnet {
  double surface = 0, bridge_radius = 0;  // of the rotor, of the pockets' outer ends
  double outer = 0, inner = 0, half = 0;  // x of the magnet's faces, half its width
  double pocket_from = 0, pocket_to = 0;  // rad, of the pocket's outer end
};

FlatMagnet flat_magnet(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  FlatMagnet m;
  m.surface = radius(machine, bore);
  m.bridge_radius = m.surface - v.number("bridge");
  m.outer = m.surface - v.number("magnet_depth");
  m.inner = m.outer - v.number("magnet_thickness");
  m.half = v.number("magnet_width") / 2;
  m.pocket_from = std::atan2(m.half, m.outer);
  m.pocket_to = m.pocket_from + v.number("pocket_width") / m.bridge_radius;
  return m;
}

std::vector<PolePart> parts_of(const Machine& machine, double bore) {
  const FlatMagnet m = flat_magnet(machine, bore);
  PolePart magnet{Role::magnet, "magnet", machine.rotor.values.text("magnet_material"), {}, {}, 0, 0};
  magnet.outline = polygon({{m.inner, -m.half}, {m.outer, -m.half}, {m.outer, m.half}, {m.inner, m.half}});
  magnet.seed = {(m.inner + m.outer) / 2, 0};
  PolePart pocket{Role::air, "end pocket", "air", {}, {}, 0, 0};
  const Point below{m.inner, m.half}, above{m.outer, m.half};
  const Point first = polar(m.bridge_radius, m.pocket_from), last = polar(m.bridge_radius, m.pocket_to);
  pocket.outline = {line(below, above), line(above, first), arc(first, last, {0, 0}, true), line(last, below)};
  pocket.seed = 0.5 * (0.5 * (below + last) + 0.5 * (above + first));
  return {magnet, pocket, mirrored(pocket, 0)};
}

std::vector<Misfit> search(const Machine& machine, double bore) {
  const FlatMagnet m = flat_magnet(machine, bore);
  if (std::hypot(m.outer, m.half) > m.bridge_radius - least_iron)
    return {{"magnet_depth", "lets the corners of the magnet reach into the bridges"}};
  const PoleRoom room{m.surface, shaft_radius(machine), half_pitch(machine)};
  return misfits(parts_of(machine, bore), room,
                 {"bridge", "magnet_thickness", "magnet_width", "magnet_width", "magnet_depth"});
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

void add_gauges(const Plan& plan, SideDrawing& drawing, double axis, int pole) {
  const FlatMagnet m = flat_magnet(*plan.machine, plan.stator_radius);
  const auto add = [&](Gauge::Part part, const char* what, Point from, Point to) {
    drawing.gauges.push_back(
        single_cut(part, fmt::format("{} {}", what, pole + 1), turned(from, axis), turned(to, axis)));
  };
  const double corner = std::atan2(-m.half, m.inner), middle = (m.pocket_from + m.pocket_to) / 2;
  add(Gauge::Part::rotor_yoke, "rotor yoke under magnet", polar(shaft_radius(*plan.machine), corner),
      {m.inner, -m.half});
  add(Gauge::Part::pole_shoe, "pole piece above magnet", {m.outer, 0}, {m.surface, 0});
  for (int hand : {1, -1})
    add(Gauge::Part::bridge, hand > 0 ? "left bridge of pole" : "right bridge of pole",
        polar(m.bridge_radius, hand * middle), polar(m.surface, hand * middle));
}

void add_dimensions(const Plan& plan, SideDrawing& drawing) {
  const Block& rotor = plan.machine->rotor;
  const FlatMagnet m = flat_magnet(*plan.machine, plan.stator_radius);
  const double middle = (m.pocket_from + m.pocket_to) / 2;
  add_dimension(drawing, rotor, "magnet_width", {(m.inner + m.outer) / 2, -m.half}, {(m.inner + m.outer) / 2, m.half});
  add_dimension(drawing, rotor, "magnet_thickness", {m.inner, m.half / 2}, {m.outer, m.half / 2});
  add_dimension(drawing, rotor, "magnet_depth", {m.outer, 0}, {m.surface, 0});
  add_dimension(drawing, rotor, "bridge", polar(m.bridge_radius, middle), polar(m.surface, middle));
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const std::vector<double> axes = draw_round_core(plan, drawing, 0);
  add_dimensions(plan, drawing);
  for (int j = 0; j < static_cast<int>(axes.size()); ++j) {
    draw_parts(drawing, parts_of(*plan.machine, plan.stator_radius), axes[j], j);
    add_gauges(plan, drawing, axes[j], j);
  }
}

std::vector<Parameter> parameters() {
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
      length_parameter("magnet_width", 1, 2000, "", "Width of the magnet, across the pole."),
      length_parameter("magnet_thickness", 0.5, 200, "", "Thickness of the magnet, along its magnetisation."),
      length_parameter("magnet_depth", 0.5, 1000, "",
                       "Depth of the magnet's outer face below the surface, on the pole axis."),
      length_parameter("bridge", 0.1, 50, "1", "Thickness of the iron between the pockets and the surface."),
      length_parameter("pocket_width", 0.5, 500, "3", "Width of the pockets under the bridges, along the surface."),
      material_parameter("magnet_material", "", "Material of the magnets."),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
  };
}

void check(const Machine& machine, double bore, Faults& faults) {
  if (!check_rotor_fits(machine, bore, faults)) return;
  report_misfits(
      machine, parameters(), [bore](const Machine& m) { return search(m, bore); }, faults);
}

}  // namespace

const RotorType& buried_flat_rotor() {
  static const RotorType type{
      {"buried-flat", "One flat magnet a pole inside the core, with pockets of air at its ends and bridges over them.",
       parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
