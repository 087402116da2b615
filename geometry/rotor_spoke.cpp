// Magnets like spokes between the poles, magnetised along the circumference; at their feet a non-magnetic hub or
// pockets of air with ribs between them.
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

double pole_pitch(const Machine& machine) {
  return pi / machine.pole_pairs();
}

/// One magnet on the x axis, half a pole pitch from the poles on both of its sides.
struct Spoke {
  double surface = 0, half = 0;    // rotor radius, half the magnet's thickness
  double inner = 0, outer = 0;     // x of the magnet's ends
  double hub_radius = 0;           // of its inner corners
  bool hub = false;                // a ring without iron; otherwise pockets
  double foot = 0, foot_half = 0;  // x of the pocket's inner side, half its width
  double opening_half = 0;         // of the slot above the magnet, 0: a bridge
};

Spoke spoke_of(const Machine& machine, double bore) {
  const Values& v = machine.rotor.values;
  Spoke s;
  s.surface = radius(machine, bore);
  s.half = v.number("magnet_thickness") / 2;
  const double r = s.surface - v.number("bridge");
  s.outer = std::sqrt(std::max(r * r - s.half * s.half, 0.0));
  s.inner = s.outer - v.number("magnet_height");
  s.hub_radius = std::hypot(s.inner, s.half);
  s.hub = v.text("barrier") == "hub-ring";
  s.foot = s.inner - v.number("pocket_height");
  s.foot_half = v.number("pocket_width") / 2;
  s.opening_half = v.number("opening_width") / 2;
  return s;
}

PolePart magnet_of(const Machine& machine, const Spoke& s) {
  PolePart magnet{Role::magnet, "magnet", machine.rotor.values.text("magnet_material"), {}, {}, -pi / 2, 0};
  magnet.outline = polygon({{s.inner, -s.half}, {s.outer, -s.half}, {s.outer, s.half}, {s.inner, s.half}});
  magnet.seed = {(s.inner + s.outer) / 2, 0};
  return magnet;
}

PolePart pocket_of(const Spoke& s) {
  PolePart pocket{Role::air, "inner pocket", "air", {}, {}, 0, 0};
  pocket.outline = polygon({{s.foot, -s.foot_half}, {s.inner, -s.half}, {s.inner, s.half}, {s.foot, s.foot_half}});
  pocket.seed = {(s.inner + s.foot) / 2, 0};
  return pocket;
}

std::vector<Misfit> search(const Machine& machine, double bore) {
  const Spoke s = spoke_of(machine, bore);
  std::vector<Misfit> found;
  if (s.outer <= s.half) return {{"magnet_thickness", "makes the magnet thicker than the rotor"}};
  if (s.opening_half > s.half - least_iron + 1e-9)
    found.push_back({"opening_width", "leaves no lips over the magnet's outer corners"});
  const PoleRoom room{s.surface, shaft_radius(machine), pole_pitch(machine) / 2};
  const auto append = [&](const std::vector<Misfit>& more) { found.insert(found.end(), more.begin(), more.end()); };
  append(misfits({magnet_of(machine, s)}, room,
                 {"bridge", "magnet_height", "magnet_height", "magnet_height", "magnet_height"}));
  if (!s.hub && found.empty())
    append(misfits({pocket_of(s)}, room,
                   {"pocket_width", "pocket_height", "pocket_width", "pocket_width", "pocket_height"}));
  return found;
}

Symmetry symmetry(const Machine& machine) {
  return {2 * machine.pole_pairs(), -1};
}

// The slot from the magnet to the surface, which draw_round_core has drawn.
void draw_opening(SideDrawing& drawing, const Spoke& s, double axis, int pole) {
  const int part = add_part(drawing.sketch, "opening above the magnet");
  const double mouth = std::sqrt(s.surface * s.surface - s.opening_half * s.opening_half);
  for (int hand : {1, -1})
    add_line(drawing.sketch, turned({s.outer, hand * s.opening_half}, axis),
             turned({mouth, hand * s.opening_half}, axis), part);
  Region region = make_region(drawing, Role::air, fmt::format("opening above magnet {}", pole + 1), "air");
  region.slot = pole;
  add_label(drawing.sketch, region, turned({(s.outer + mouth) / 2, 0}, axis));
}

void draw_hub(const Plan& plan, SideDrawing& drawing, const Spoke& s, const std::vector<double>& axes) {
  const int part = add_part(drawing.sketch, "hub");
  const double foot = std::asin(s.half / s.hub_radius);
  double from = drawing.start_angle;
  for (double axis : axes) {
    add_ring_arc(drawing.sketch, s.hub_radius, from, axis - foot, part);
    from = axis + foot;
  }
  add_ring_arc(drawing.sketch, s.hub_radius, from, drawing.start_angle + drawing.sector_angle, part);
  add_label(drawing.sketch, make_region(drawing, Role::sleeve, "hub", plan.machine->rotor.values.text("hub_material")),
            polar((shaft_radius(*plan.machine) + s.inner) / 2, drawing.start_angle + 0.4142 * drawing.sector_angle));
  if (s.opening_half <= 0) return;
  // Nothing joins the poles: each piece after the first, which draw_round_core has named, needs a name of its own.
  const double pitch = pole_pitch(*plan.machine), r = s.surface - least_iron / 2;
  const int pieces = static_cast<int>(axes.size()) + (drawing.closed ? 0 : 1);
  for (int j = 1; j < pieces; ++j)
    add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(*plan.machine)),
              polar(r, drawing.start_angle + j * pitch - least_iron / 2 / r));
}

void add_gauges(const Plan& plan, SideDrawing& drawing, const Spoke& s, const std::vector<double>& axes) {
  const double pitch = pole_pitch(*plan.machine);
  // A pole lies between the magnets at both its sides; behind the last one is the first of the next sector.
  const auto across = [&](std::size_t j, double x, double half) {
    const bool last = j + 1 == axes.size();
    const Point from = turned({x, half}, axes[j]);
    Gauge::Cut cut = make_cut(from, turned({x, -half}, last ? axes[0] : axes[j + 1]));
    cut.width = distance(from, turned({x, -half}, axes[j] + pitch));
    cut.to_sign = last ? plan.sign : 1;
    return cut;
  };
  for (std::size_t j = 0; j < axes.size(); ++j) {
    Gauge core = single_cut(Gauge::Part::pole_core, fmt::format("pole after magnet {}", j + 1), {}, {});
    core.cuts.clear();
    for (int i = 0; i <= 6; ++i) core.cuts.push_back(across(j, s.inner + (s.outer - s.inner) * i / 6.0, s.half));
    drawing.gauges.push_back(core);
    if (s.opening_half <= 0)
      drawing.gauges.push_back(single_cut(Gauge::Part::bridge, fmt::format("bridge over magnet {}", j + 1),
                                          turned({s.outer, 0}, axes[j]), turned({s.surface, 0}, axes[j])));
    if (s.hub) continue;
    Gauge rib = single_cut(Gauge::Part::bridge, fmt::format("rib after magnet {}", j + 1), {}, {});
    rib.cuts = {across(j, s.foot, s.foot_half)};
    drawing.gauges.push_back(rib);
  }
}

void add_dimensions(const Plan& plan, SideDrawing& drawing, const Spoke& s, double axis) {
  const Block& rotor = plan.machine->rotor;
  const auto add = [&](const char* parameter, Point from, Point to) {
    add_dimension(drawing, rotor, parameter, turned(from, axis), turned(to, axis));
  };
  const double middle = (s.inner + s.outer) / 2;
  add("magnet_height", {s.inner, 0}, {s.outer, 0});
  add("magnet_thickness", {middle, -s.half}, {middle, s.half});
  const Point corner{s.outer, s.half};
  add("bridge", corner, (s.surface / std::hypot(corner.x, corner.y)) * corner);
  if (s.opening_half > 0) add("opening_width", {s.surface, -s.opening_half}, {s.surface, s.opening_half});
  if (s.hub) return;
  add("pocket_width", {s.foot, -s.foot_half}, {s.foot, s.foot_half});
  add("pocket_height", {s.foot, s.half / 2}, {s.inner, s.half / 2});
}

void draw(const Plan& plan, SideDrawing& drawing) {
  const Machine& machine = *plan.machine;
  const Spoke s = spoke_of(machine, plan.stator_radius);
  const std::vector<double> axes = draw_round_core(plan, drawing, pole_pitch(machine) / 2);
  for (int j = 0; j < static_cast<int>(axes.size()); ++j) {
    draw_parts(drawing, {magnet_of(machine, s)}, axes[j], j);
    if (!s.hub) draw_parts(drawing, {pocket_of(s)}, axes[j], j);
    if (s.opening_half > 0) draw_opening(drawing, s, axes[j], j);
  }
  add_dimensions(plan, drawing, s, axes.front());
  if (s.hub) draw_hub(plan, drawing, s, axes);
  add_gauges(plan, drawing, s, axes);
}

std::vector<Parameter> parameters() {
  Parameter barrier;
  barrier.name = "barrier";
  barrier.form = Form::choice;
  barrier.fallback = "pocket";
  barrier.choices = {"pocket", "hub-ring"};
  barrier.sentence =
      "What keeps flux from passing under the magnets: a pocket of air at each magnet's foot with iron between them, "
      "or "
      "a ring without iron from the shaft to the feet.";
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
      length_parameter("magnet_height", 1, 2000, "", "Height of the magnets, along the radius."),
      length_parameter("magnet_thickness", 0.5, 500, "", "Thickness of the magnets, along their magnetisation."),
      length_parameter("bridge", 0.1, 100, "1", "Depth of the magnets' outer corners below the surface."),
      length_parameter("opening_width", 0, 300, "0",
                       "Width of the slot between magnet and surface; 0 closes it by a bridge of iron."),
      barrier,
      length_parameter("pocket_height", 0.2, 500, "3", "Height of the pockets, along the radius."),
      length_parameter("pocket_width", 0.5, 500, "6", "Width of the pockets at their inner side."),
      material_parameter("hub_material", "austenitic-steel", "Material of a ring without iron."),
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

const RotorType& spoke_rotor() {
  static const RotorType type{
      {"spoke", "Magnets like spokes between the poles, magnetised along the circumference.", parameters(), false},
      radius,
      check,
      symmetry,
      draw};
  return type;
}

}  // namespace polepitch
