#include "geometry/salient_pole.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double clearance = 0.1e-3;  // m, least distance that is drawn between neighbours

void check_face(const Block& rotor, const PoleShape& s, double apex, Faults& faults) {
  if (s.face_radius > apex + 1e-9)
    add_fault(
        faults, rotor, "face_radius",
        fmt::format("is larger than the rotor's radius, {}: the gap would be smallest at the tips", millimetres(apex)),
        fmt::format("at most {}; a smaller radius lets the gap grow towards the tips", rounded_down(apex)));
  if (s.shoe_half >= 0.98 * s.face_radius)
    add_fault(faults, rotor, "shoe_width",
              fmt::format("is wider than the arc of the face, radius {}", millimetres(s.face_radius)),
              fmt::format("at most {}", rounded_down(1.96 * s.face_radius)));
  if (s.shoe_half < s.body_half)
    add_fault(faults, rotor, "shoe_width",
              fmt::format("is narrower than the pole body, {}", millimetres(2 * s.body_half)),
              "make the shoe at least as wide as the body");
}

void check_heights(const Block& rotor, const PoleShape& s, double apex, Faults& faults) {
  const double least = apex - s.tip_inner;
  if (s.neck > s.tip_inner + 1e-9)
    add_fault(
        faults, rotor, "shoe_height", fmt::format("is less than the shoe needs at its tips, {}", millimetres(least)),
        fmt::format("at least {}: the tip height and what the face falls off towards the tip", rounded_up(least)));
  if (s.yoke_radius <= s.shaft_radius + clearance)
    add_fault(faults, rotor, "yoke_diameter",
              fmt::format("leaves no yoke around the shaft, {}", millimetres(2 * s.shaft_radius)),
              "make the yoke larger or the shaft smaller");
  if (s.body_half >= 0.98 * s.yoke_radius) return;  // reported with the body
  if (s.foot >= s.neck - clearance)
    add_fault(faults, rotor, "yoke_diameter",
              fmt::format("reaches the pole shoes, whose underside is at {} from the axis", millimetres(s.neck)),
              fmt::format("less than {} leaves a pole body", rounded_down(2 * std::hypot(s.neck, s.body_half))));
}

// Largest y at the distance x along the pole axis that is still on this pole's side of the line between poles.
double room_at(double x, double half_pitch) {
  return half_pitch < pi / 2 - 1e-9 ? x * std::tan(half_pitch) : 1e9;
}

void check_neighbours(const Block& rotor, const PoleShape& s, double half_pitch, Faults& faults) {
  const double body_room = s.yoke_radius * std::sin(half_pitch);
  if (s.body_half >= 0.98 * body_room)
    add_fault(faults, rotor, "body_width",
              fmt::format("is wider than the pole pitch on the yoke, {}", millimetres(2 * body_room)),
              fmt::format("less than {}", rounded_down(1.96 * body_room)));
  const double shoe_room = room_at(s.tip_inner, half_pitch) - clearance;
  if (s.shoe_half >= shoe_room)
    add_fault(faults, rotor, "shoe_width", "makes the shoes of neighbouring poles overlap",
              fmt::format("less than {} keeps them apart", rounded_down(2 * std::max(shoe_room, 0.0))));
}

void check_coil(const Block& rotor, const PoleShape& s, double half_pitch, Faults& faults) {
  const double t = s.insulation, bottom = s.coil_foot - t;
  if (bottom < s.foot) {
    const double room = s.neck - s.foot - 2 * t;
    add_fault(faults, rotor, "coil_height",
              fmt::format("does not fit between shoe and yoke, {} apart", millimetres(s.neck - s.foot)),
              room > 0 ? fmt::format("at most {} with this insulation", rounded_down(room))
                       : "make the pole body longer or the insulation thinner");
    return;
  }
  const double room = room_at(bottom, half_pitch) - clearance - s.body_half - 2 * t;
  if (s.coil_width >= room)
    add_fault(faults, rotor, "coil_width", "makes the coils of neighbouring poles overlap",
              room > 0 ? fmt::format("less than {} with this coil height and insulation", rounded_down(room))
                       : "make the body narrower, the coil less high or the insulation thinner");
  const double outer = std::hypot(s.neck, s.body_half + 2 * t + s.coil_width);
  const double surface = s.face_centre + s.face_radius;
  if (outer >= surface - clearance)
    add_fault(faults, rotor, "coil_width",
              fmt::format("lets the coil reach {} from the axis, the rotor ends at {}", millimetres(outer),
                          millimetres(surface)),
              "make the coil narrower or the shoe higher");
}

}  // namespace

PoleShape pole_shape(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  const double apex = bore - v.number("air_gap");
  PoleShape s;
  s.face_radius = v.has("face_radius") ? v.number("face_radius") : apex;
  s.face_centre = apex - s.face_radius;
  s.shoe_half = v.number("shoe_width") / 2;
  s.body_half = v.number("body_width") / 2;
  s.tip_outer = s.face_centre + std::sqrt(std::max(s.face_radius * s.face_radius - s.shoe_half * s.shoe_half, 0.0));
  s.tip_inner = s.tip_outer - v.number("tip_height");
  s.neck = apex - v.number("shoe_height");
  s.yoke_radius = v.number("yoke_diameter") / 2;
  s.shaft_radius = v.number("shaft_diameter") / 2;
  s.foot = std::sqrt(std::max(s.yoke_radius * s.yoke_radius - s.body_half * s.body_half, 0.0));
  s.insulation = v.number("coil_insulation");
  s.coil_width = v.number("coil_width");
  s.coil_top = s.neck - s.insulation;
  s.coil_foot = s.coil_top - v.number("coil_height");
  return s;
}

void check_salient_pole(const Machine& machine, double bore, Faults& faults) {
  const Block& rotor = machine.rotor;
  const PoleShape s = pole_shape(machine, bore);
  const double half_pitch = pi / (2 * machine.pole_pairs());
  const double apex = s.face_centre + s.face_radius;
  if (!check_rotor_fits(machine, bore, faults)) return;
  const std::size_t before = faults.size();
  check_face(rotor, s, apex, faults);
  check_heights(rotor, s, apex, faults);
  check_neighbours(rotor, s, half_pitch, faults);
  if (faults.size() == before) check_coil(rotor, s, half_pitch, faults);
}

std::vector<Parameter> salient_pole_parameters() {
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap under the middle of the pole, the smallest."),
      length_parameter("body_width", 1, 5000, "", "Width of the pole body."),
      length_parameter("shoe_width", 1, 5000, "", "Width of the pole shoe from tip to tip."),
      length_parameter("shoe_height", 0.5, 1000, "",
                       "Height of the shoe from the middle of the face to its underside at the body."),
      length_parameter("tip_height", 0.2, 500, "3", "Height of the shoe at its tips."),
      optional_length("face_radius", 1, 10000,
                      "Radius of the face, its centre on the pole axis; less than the rotor's radius lets the gap grow "
                      "towards the tips, absent it is the rotor's radius."),
      length_parameter("yoke_diameter", 2, 15000, "", "Outer diameter of the rotor yoke, on which the bodies stand."),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
      length_parameter("coil_width", 0.5, 2000, "", "Width of the conductors of a field coil side, across the pole."),
      length_parameter("coil_height", 0.5, 2000, "", "Height of the conductors of a field coil side, along the pole."),
      length_parameter("coil_insulation", 0, 100, "1", "Thickness of the insulation around the field coil side."),
      integer_parameter("field_turns", 1, 10000, "", "Turns of the field coil of one pole."),
      integer_parameter("field_parallel_paths", 1, 100, "1", "Parallel paths of the field winding."),
      material_parameter("field_material", "copper", "Material of the field conductors."),
  };
}

}  // namespace polepitch
