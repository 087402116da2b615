// Salient poles with shoes and rectangular field coils.
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/damper_bars.h"
#include "geometry/salient_pole.h"
#include "geometry/side_types.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

void add_rectangle(SideDrawing& drawing, double x0, double x1, double y0, double y1, double axis, int part) {
  const Point corners[4] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  for (int i = 0; i < 4; ++i)
    add_line(drawing.sketch, turned(corners[i], axis), turned(corners[(i + 1) % 4], axis), part);
}

// Shoe and body of one pole; the body ends on the yoke's circle.
void draw_pole(SideDrawing& drawing, const PoleShape& s, double axis) {
  const int part = add_part(drawing.sketch, "pole");
  const auto at = [&](double x, double y) { return turned({x, y}, axis); };
  add_arc(drawing.sketch, at(s.tip_outer, -s.shoe_half), at(s.tip_outer, s.shoe_half), at(s.face_centre, 0), true,
          part);
  for (int hand : {1, -1}) {
    add_line(drawing.sketch, at(s.tip_outer, hand * s.shoe_half), at(s.tip_inner, hand * s.shoe_half), part);
    add_line(drawing.sketch, at(s.tip_inner, hand * s.shoe_half), at(s.neck, hand * s.body_half), part);
    add_line(drawing.sketch, at(s.neck, hand * s.body_half), at(s.foot, hand * s.body_half), part);
  }
}

// One coil side on each flank. Current along +z on the counter-clockwise flank drives flux outward through the pole.
void draw_coil(const Plan& plan, SideDrawing& drawing, const PoleShape& s, double axis, int pole) {
  const Values& v = plan.machine->rotor.values;
  const double turns = v.integer("field_turns") / static_cast<double>(v.integer("field_parallel_paths"));
  const int coil = add_part(drawing.sketch, "field coil"), around = add_part(drawing.sketch, "field coil insulation");
  for (int hand : {1, -1}) {
    const auto side = [&](double y) { return hand * (s.body_half + y); };
    add_rectangle(drawing, s.coil_foot, s.coil_top, side(s.insulation), side(s.insulation + s.coil_width), axis, coil);
    const char* flank = hand > 0 ? "left" : "right";
    Region region = make_region(drawing, Role::field_winding, fmt::format("pole {} field coil, {}", pole + 1, flank),
                                v.text("field_material"));
    region.branch = 0;  // of this side; draw_section moves it behind the phases
    region.turns = hand * (pole % 2 ? -turns : turns);
    region.slot = pole;
    add_label(drawing.sketch, region,
              turned({(s.coil_foot + s.coil_top) / 2, side(s.insulation + s.coil_width / 2)}, axis));
    if (s.insulation <= 0) continue;
    add_rectangle(drawing, s.coil_foot - s.insulation, s.coil_top + s.insulation, side(0),
                  side(s.coil_width + 2 * s.insulation), axis, around);
    region = make_region(drawing, Role::insulation, fmt::format("pole {} coil insulation, {}", pole + 1, flank), "air");
    region.slot = pole;
    add_label(drawing.sketch, region, turned({s.coil_top + s.insulation / 2, side(s.coil_width / 2)}, axis));
  }
}

void add_gauges(SideDrawing& drawing, const Plan& plan, const PoleShape& s, double axis, int pole) {
  const double pitch = pi / plan.machine->pole_pairs();
  drawing.gauges.push_back(make_yoke_gauge(Gauge::Part::rotor_yoke, Side::rotor,
                                           fmt::format("rotor yoke before pole {}", pole + 1), axis - pitch / 2,
                                           s.yoke_radius, s.shaft_radius));
  Gauge core;
  core.part = Gauge::Part::pole_core;
  core.name = fmt::format("pole core {}", pole + 1);
  core.side = Side::rotor;
  for (int i = 0; i <= 6; ++i) {
    const double x = s.neck + (s.foot - s.neck) * i / 6.0;
    core.cuts.push_back(make_cut(turned({x, -s.body_half}, axis), turned({x, s.body_half}, axis)));
  }
  core.third = 2;
  drawing.gauges.push_back(core);
  // Flux that enters one half of the shoe beside the body and passes on into the body.
  for (int hand : {1, -1}) {
    const double face = s.face_centre + std::sqrt(s.face_radius * s.face_radius - s.body_half * s.body_half);
    Gauge shoe;
    shoe.part = Gauge::Part::pole_shoe;
    shoe.name = fmt::format("pole shoe {}, {}", pole + 1, hand > 0 ? "left" : "right");
    shoe.side = Side::rotor;
    shoe.cuts = {make_cut(turned({s.neck, hand * s.body_half}, axis), turned({face, hand * s.body_half}, axis))};
    drawing.gauges.push_back(shoe);
  }
}

// The yoke's circle between the poles: where a body stands on it there is no line.
void draw_yoke(SideDrawing& drawing, const PoleShape& s, const std::vector<double>& axes) {
  const int part = add_part(drawing.sketch, "rotor yoke");
  const double foot = std::asin(s.body_half / s.yoke_radius);
  double from = drawing.start_angle;
  for (double axis : axes) {
    add_ring_arc(drawing.sketch, s.yoke_radius, from, axis - foot, part);
    from = axis + foot;
  }
  add_ring_arc(drawing.sketch, s.yoke_radius, from, drawing.start_angle + drawing.sector_angle, part);
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const PoleShape& s) {
  const auto add = [&](const char* parameter, Point from, Point to) {
    add_dimension(drawing, plan.machine->rotor, parameter, from, to);
  };
  const double apex = s.face_centre + s.face_radius, body = s.foot + 0.35 * (s.coil_foot - s.foot);
  add("body_width", {body, -s.body_half}, {body, s.body_half});
  add("shoe_width", {s.tip_inner, -s.shoe_half}, {s.tip_inner, s.shoe_half});
  add("shoe_height", {s.neck, 0}, {apex, 0});
  add("tip_height", {s.tip_inner, s.shoe_half}, {s.tip_outer, s.shoe_half});
  const double inner = s.body_half + s.insulation, outer = inner + s.coil_width;
  const double middle = (s.coil_foot + s.coil_top) / 2;
  add("coil_width", {middle, inner}, {middle, outer});
  add("coil_height", {s.coil_foot, -(inner + outer) / 2}, {s.coil_top, -(inner + outer) / 2});
  add_air_gap(drawing, plan, 0);
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const PoleShape shape = pole_shape(machine, plan.stator_radius);
  const double pitch = pi / machine.pole_pairs();
  drawing.start_angle = -pitch / 2;
  drawing.branches.push_back({"field", BranchKind::field, 0});
  std::vector<double> axes;
  for (int j = 0; j < plan.in_sector(2 * machine.pole_pairs()); ++j) axes.push_back(j * pitch);
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  draw_yoke(drawing, shape, axes);
  draw_shaft(plan, drawing, shape.shaft_radius);
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  add_dimensions(plan, drawing, shape);
  for (int j = 0; j < static_cast<int>(axes.size()); ++j) {
    draw_pole(drawing, shape, axes[j]);
    draw_coil(plan, drawing, shape, axes[j], j);
    draw_damper_bars(plan, drawing, shape, axes[j], j);
    add_gauges(drawing, plan, shape, axes[j], j);
  }
  add_label(drawing.sketch, make_region(drawing, Role::core, "poles and rotor yoke", rotor_material(machine)),
            {(shape.shaft_radius + shape.neck) / 2, 0});
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((plan.rotor_radius + drawing.gap_radius) / 2, drawing.start_angle + 0.4142 * drawing.sector_angle));
}

void check(const Machine& machine, double bore, Faults& faults) {
  const std::size_t before = faults.size();
  check_salient_pole(machine, bore, faults);
  if (faults.size() == before) check_damper_bars(machine, bore, faults);
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = salient_pole_parameters();
  for (const Parameter& p : damper_parameters()) list.push_back(p);
  return list;
}

}  // namespace

const RotorType& salient_pole_rotor() {
  static const RotorType type{
      {"salient-pole",
       "Salient poles with shoes and a field coil on each body, with or without damper bars in the shoes.",
       parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
