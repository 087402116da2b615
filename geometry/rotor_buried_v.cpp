// Two magnets a pole in a V that opens towards the gap: a rib between them on the pole axis, pockets at their ends,
// bridges under the surface.
#include <algorithm>
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

/// The magnet on the counter-clockwise side of the pole on the x axis. Its faces run along `along`, from the rib
/// outwards; `outward` is its magnetisation. Corners: upper ones face the gap.
struct Leg {
  bool fits = false;  // the magnet's outer end can lie at the stated depth
  double surface = 0, bridge_radius = 0;
  Point along, outward;
  Point upper_in, upper_out, lower_in, lower_out;  // of the magnet
  Point rib_upper, rib_lower;                      // where both faces, prolonged, meet the rib
  Point end_upper, end_lower;                      // and the circle under the bridge
};

Point at_rib(Point p, Point along, double half_rib) {
  return p - ((p.y - half_rib) / along.y) * along;
}

// Where the line from p along `along` leaves the circle of that radius about the axis.
Point at_circle(Point p, Point along, double r) {
  const double b = dot(p, along);
  return p + (-b + std::sqrt(std::max(b * b - dot(p, p) + r * r, 0.0))) * along;
}

// Places the strip along the pole axis so that the outermost corner of the magnet lies at radius rho.
bool place(Leg& leg, double rho) {
  double shift = 1e9;
  for (Point p : {leg.upper_out, leg.lower_out}) {
    if (std::abs(p.y) >= rho) return false;
    shift = std::min(shift, std::sqrt(rho * rho - p.y * p.y) - p.x);
  }
  for (Point* p : {&leg.upper_in, &leg.upper_out, &leg.lower_in, &leg.lower_out}) p->x += shift;
  return true;
}

Leg leg_of(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  const double half_angle = v.number("v_angle") / 2, half_rib = v.number("rib") / 2;
  const double width = v.number("magnet_width"), thickness = v.number("magnet_thickness");
  Leg leg;
  leg.surface = radius(machine, bore);
  leg.bridge_radius = leg.surface - v.number("bridge");
  leg.along = {std::cos(half_angle), std::sin(half_angle)};
  leg.outward = {std::sin(half_angle), -std::cos(half_angle)};
  leg.upper_in = Point{0, half_rib} + v.number("inner_pocket") * leg.along;
  leg.upper_out = leg.upper_in + width * leg.along;
  leg.lower_in = leg.upper_in - thickness * leg.outward;
  leg.lower_out = leg.upper_out - thickness * leg.outward;
  leg.fits = place(leg, leg.surface - v.number("magnet_depth"));
  leg.rib_upper = at_rib(leg.upper_in, leg.along, half_rib);
  leg.rib_lower = at_rib(leg.lower_in, leg.along, half_rib);
  leg.end_upper = at_circle(leg.upper_out, leg.along, leg.bridge_radius);
  leg.end_lower = at_circle(leg.lower_out, leg.along, leg.bridge_radius);
  return leg;
}

std::vector<PolePart> parts_of(const Machine& machine, const Leg& l) {
  PolePart magnet{Role::magnet, "magnet", machine.rotor.values.text("magnet_material"), {}, {}, 0, 0};
  magnet.outline = polygon({l.lower_in, l.upper_in, l.upper_out, l.lower_out});
  magnet.seed = 0.5 * (l.lower_in + l.upper_out);
  magnet.direction = std::atan2(l.outward.y, l.outward.x);
  PolePart inner{Role::air, "inner pocket", "air", {}, {}, 0, 0};
  inner.outline = polygon({l.rib_lower, l.rib_upper, l.upper_in, l.lower_in});
  inner.seed = 0.25 * (l.rib_lower + l.rib_upper + l.upper_in + l.lower_in);
  PolePart outer{Role::air, "outer pocket", "air", {}, {}, 0, 0};
  outer.outline = {line(l.lower_out, l.upper_out), line(l.upper_out, l.end_upper),
                   arc(l.end_upper, l.end_lower, {0, 0}, true), line(l.end_lower, l.lower_out)};
  outer.seed = 0.25 * (l.lower_out + l.upper_out + l.end_upper + l.end_lower);
  return {magnet, inner, outer, mirrored(magnet, 1), mirrored(inner, 1), mirrored(outer, 1)};
}

std::vector<Misfit> search(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  if (v.number("magnet_depth") < v.number("bridge") + least_iron)
    return {{"magnet_depth", "lets the magnets reach into the bridges"}};
  const Leg leg = leg_of(machine, bore);
  if (!leg.fits) return {{"magnet_width", "makes the magnets wider than the rotor at their depth"}};
  const PoleRoom room{leg.surface, shaft_radius(machine), half_pitch(machine)};
  return misfits(parts_of(machine, leg), room, {"bridge", "magnet_width", "magnet_width", "rib", "magnet_width"});
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

void add_gauges(const Plan& plan, SideDrawing& drawing, const Leg& l, double axis, int pole) {
  const auto add = [&](Gauge::Part part, const char* what, Point from, Point to) {
    drawing.gauges.push_back(
        single_cut(part, fmt::format("{} {}", what, pole + 1), turned(from, axis), turned(to, axis)));
  };
  const Point deepest{l.rib_lower.x, -l.rib_lower.y};
  add(Gauge::Part::rotor_yoke, "rotor yoke under pole",
      polar(shaft_radius(*plan.machine), std::atan2(deepest.y, deepest.x)), deepest);
  add(Gauge::Part::pole_shoe, "pole piece above magnets", l.rib_upper, {l.surface, l.rib_upper.y});
  const double middle = (std::atan2(l.end_upper.y, l.end_upper.x) + std::atan2(l.end_lower.y, l.end_lower.x)) / 2;
  for (int hand : {1, -1})
    add(Gauge::Part::bridge, hand > 0 ? "left bridge of pole" : "right bridge of pole",
        polar(l.bridge_radius, hand * middle), polar(l.surface, hand * middle));
  const double x = (l.rib_upper.x + l.rib_lower.x) / 2;
  add(Gauge::Part::bridge, "rib of pole", {x, -l.rib_upper.y}, {x, l.rib_upper.y});
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const Leg& l) {
  const Block& rotor = plan.machine->rotor;
  const Point middle = 0.5 * (l.upper_out - l.upper_in), down = 0.5 * (l.lower_in - l.upper_in);
  add_dimension(drawing, rotor, "magnet_width", l.upper_in + down, l.upper_out + down);
  add_dimension(drawing, rotor, "magnet_thickness", l.lower_in + middle, l.upper_in + middle);
  const double x = (l.rib_upper.x + l.rib_lower.x) / 2, y = l.rib_upper.y;
  add_dimension(drawing, rotor, "rib", {x, -y}, {x, y});
  add_dimension(drawing, rotor, "inner_pocket", {l.rib_upper.x, -y}, {l.upper_in.x, -l.upper_in.y});
  const double end = std::atan2(l.end_upper.y, l.end_upper.x) / 2 + std::atan2(l.end_lower.y, l.end_lower.x) / 2;
  add_dimension(drawing, rotor, "bridge", polar(l.bridge_radius, end), polar(l.surface, end));
  const bool upper = std::hypot(l.upper_out.x, l.upper_out.y) > std::hypot(l.lower_out.x, l.lower_out.y);
  const Point corner = upper ? Point{l.upper_out.x, -l.upper_out.y} : Point{l.lower_out.x, -l.lower_out.y};
  add_dimension(drawing, rotor, "magnet_depth", corner, (l.surface / std::hypot(corner.x, corner.y)) * corner);
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Leg leg = leg_of(*plan.machine, plan.stator_radius);
  const std::vector<double> axes = draw_round_core(plan, drawing, 0);
  add_dimensions(plan, drawing, leg);
  for (int j = 0; j < static_cast<int>(axes.size()); ++j) {
    draw_parts(drawing, parts_of(*plan.machine, leg), axes[j], j);
    add_gauges(plan, drawing, leg, axes[j], j);
  }
}

std::vector<Parameter> parameters() {
  Parameter angle;
  angle.name = "v_angle";
  angle.kind = Kind::angle;
  angle.unit = "deg";
  angle.lower = 30;
  angle.upper = 180;
  angle.fallback = "120 deg";
  angle.sentence = "Angle between the two magnets of a pole, open towards the gap; at 180 degrees they lie flat.";
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
      length_parameter("magnet_width", 1, 1000, "", "Width of each of the two magnets of a pole."),
      length_parameter("magnet_thickness", 0.5, 200, "", "Thickness of the magnets, along their magnetisation."),
      angle,
      length_parameter("magnet_depth", 0.2, 500, "2.5",
                       "Depth of the magnets' outermost corners below the surface, more than the bridge."),
      length_parameter("bridge", 0.1, 50, "1", "Thickness of the iron between the outer pockets and the surface."),
      length_parameter("rib", 0.1, 100, "1.5", "Thickness of the iron between the inner pockets, on the pole axis."),
      length_parameter("inner_pocket", 0.2, 200, "2", "Length of the inner pocket along the magnet's upper face."),
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

const RotorType& buried_v_rotor() {
  static const RotorType type{
      {"buried-v", "Two magnets a pole inside the core, in a V that opens towards the gap, with a rib between them.",
       parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
