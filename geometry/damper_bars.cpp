#include "geometry/damper_bars.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/pole_parts.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

// The shoe: the iron in which the bars lie.
Outline shoe_of(const PoleShape& s) {
  const Point tip{s.tip_outer, s.shoe_half}, under{s.tip_inner, s.shoe_half}, neck{s.neck, s.body_half};
  const auto down = [](Point p) { return Point{p.x, -p.y}; };
  return {arc(down(tip), tip, {s.face_centre, 0}, true),
          line(tip, under),
          line(under, neck),
          line(neck, down(neck)),
          line(down(neck), down(under)),
          line(down(under), down(tip))};
}

bool inside(const Outline& outline, Point p) {
  double turns = 0;
  for (const SketchCurve& c : outline) turns += angle_seen(c, p);
  return std::abs(turns) > pi;
}

// Distance of the bar from the border of the iron, not positive where they meet or the bar lies outside.
double iron_around(const Outline& iron, Point centre, double r) {
  if (!inside(iron, centre)) return 0;
  double least = 1e9;
  for (const SketchCurve& c : iron) least = std::min(least, distance_to(c, centre) - r);
  return least;
}

std::vector<Misfit> search(const Machine& machine, double bore) {
  const PoleShape shape = pole_shape(machine, bore);
  const DamperBars bars = damper_bars(machine, shape);
  std::vector<Misfit> found;
  if (bars.centres.empty()) return found;
  if (bars.opening_half > 0.98 * bars.radius) found.push_back({"damper_opening", "is as wide as the bar"});
  if (bars.opening_half > 0 && bars.opening_half < least_iron / 2)
    found.push_back({"damper_opening", "is too narrow to be drawn"});
  const Outline iron = shoe_of(shape);
  for (Point p : bars.centres)
    if (found.empty() && iron_around(iron, p, bars.radius) < least_iron - 1e-9)
      found.push_back({"damper_pitch", "lets the outer bars reach out of the iron of the shoe"});
  for (std::size_t i = 1; i < bars.centres.size() && found.empty(); ++i)
    if (distance(bars.centres[i - 1], bars.centres[i]) < 2 * bars.radius + least_iron)
      found.push_back({"damper_pitch", "lets neighbouring bars meet"});
  return found;
}

void draw_opening(SideDrawing& drawing, const PoleShape& s, const DamperBars& bars, Point centre, double axis,
                  const std::string& name) {
  const int part = add_part(drawing.sketch, "opening above a damper bar");
  const Point face{s.face_centre, 0}, out = 1 / distance(centre, face) * (centre - face), across{-out.y, out.x};
  const double h = bars.opening_half, from = std::sqrt(bars.radius * bars.radius - h * h);
  const double to = std::sqrt(s.face_radius * s.face_radius - h * h) - distance(centre, face);
  for (int hand : {1, -1})
    add_line(drawing.sketch, turned(centre + from * out + hand * h * across, axis),
             turned(centre + to * out + hand * h * across, axis), part);
  add_label(drawing.sketch, make_region(drawing, Role::air, "opening above " + name, "air"),
            turned(centre + (bars.radius + bars.depth / 2) * out, axis));
}

}  // namespace

DamperBars damper_bars(const Machine& machine, const PoleShape& shape) {
  const Values& v = machine.rotor.values;
  DamperBars bars;
  bars.radius = v.number("damper_diameter") / 2;
  bars.depth = v.number("damper_depth");
  bars.opening_half = v.number("damper_opening") / 2;
  const double r = shape.face_radius - bars.depth - bars.radius;
  const int count = v.integer("damper_bars");
  if (r <= 0) {
    if (count > 0) bars.centres.push_back({shape.face_centre + r, 0});  // outside of the iron
    return bars;
  }
  const double step = v.number("damper_pitch") / r;
  for (int i = 0; i < count; ++i)
    bars.centres.push_back(Point{shape.face_centre, 0} + polar(r, (i - (count - 1) / 2.0) * step));
  return bars;
}

std::vector<Parameter> damper_parameters() {
  std::vector<Parameter> table = {
      integer_parameter("damper_bars", 0, 100, "0", "Damper bars in the shoe of a pole; 0 means none."),
      length_parameter("damper_diameter", 0.5, 200, "10", "Diameter of the damper bars."),
      length_parameter("damper_pitch", 0.5, 1000, "20",
                       "Distance of neighbouring damper bars, along the circle of their centres."),
      length_parameter("damper_depth", 0.1, 200, "2", "Distance between damper bars and pole face."),
      length_parameter("damper_opening", 0, 100, "0",
                       "Width of the slot between damper bar and pole face; 0 means a closed slot."),
      material_parameter("damper_material", "copper", "Material of the damper bars and of their rings."),
  };
  for (Parameter& p : damper_ring_parameters()) table.push_back(std::move(p));
  return table;
}

std::vector<Parameter> damper_ring_parameters() {
  return {
      {.name = "damper_ring",
       .form = Form::choice,
       .fallback = "all-round",
       .choices = {"all-round", "pole-by-pole", "none"},
       .sentence = "What joins the ends of the damper bars: rings all the way round, segments from bar to bar of each "
                   "pole alone, or nothing."},
      optional_length("damper_ring_height", 0.5, 500,
                      "Height of the damper's rings or segments; without it and the width they have no resistance."),
      optional_length("damper_ring_width", 0.5, 500, "Axial width of the damper's rings or segments."),
      {.name = "damper_ring_inductance",
       .kind = Kind::inductance,
       .unit = "H",
       .lower = 0,
       .upper = 1e-3,
       .fallback = "0 H",
       .sentence = "Inductance of one metre of one ring, which no cross-section knows; some 5e-7 H when it is given."},
  };
}

void check_damper_bars(const Machine& machine, double bore, Faults& faults) {
  report_misfits(
      machine, damper_parameters(), [bore](const Machine& m) { return search(m, bore); }, faults);
}

namespace {

void add_dimensions(const Plan& plan, SideDrawing& drawing, const PoleShape& shape, const DamperBars& bars) {
  const Point last = bars.centres.back(), first = bars.centres.front(), face{shape.face_centre, 0};
  const Point out = 1 / distance(first, face) * (first - face), r{0, bars.radius};
  add_dimension(drawing, plan.machine->rotor, "damper_diameter", last - r, last + r);
  add_dimension(drawing, plan.machine->rotor, "damper_depth", first + bars.radius * out,
                first + (bars.radius + bars.depth) * out);
}

}  // namespace

void draw_damper_bars(const Plan& plan, SideDrawing& drawing, const PoleShape& shape, double axis, int pole) {
  const DamperBars bars = damper_bars(*plan.machine, shape);
  const int part = add_part(drawing.sketch, "damper bar");
  if (pole == 0 && !bars.centres.empty()) add_dimensions(plan, drawing, shape, bars);
  for (int i = 0; i < static_cast<int>(bars.centres.size()); ++i) {
    const std::string name = fmt::format("damper bar {} of pole {}", i + 1, pole + 1);
    const Point centre = turned(bars.centres[i], axis);
    add_circle(drawing.sketch, centre, bars.radius, part);
    Region bar = make_region(drawing, Role::bar, name, plan.machine->rotor.values.text("damper_material"));
    bar.branch = static_cast<int>(drawing.branches.size());
    bar.turns = 1;
    bar.slot = pole;
    bar.layer = i;
    add_label(drawing.sketch, bar, centre);
    drawing.branches.push_back({name, BranchKind::damper, std::atan2(centre.y, centre.x)});
    if (bars.opening_half > 0) draw_opening(drawing, shape, bars, bars.centres[i], axis, name);
  }
}

}  // namespace polepitch
