#include "geometry/drawing.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace polepitch {

bool rotor_outside(const Machine& machine) {
  return stator_type(machine.stator).entry.rotor_outside;
}

double stator_radius(const Machine& machine) {
  return machine.stator.values.number(rotor_outside(machine) ? "outer_diameter" : "bore_diameter") / 2;
}

double shaft_radius(const Machine& machine) {
  return machine.rotor.values.number("shaft_diameter") / 2;
}

std::string rotor_material(const Machine& machine) {
  const Values& v = machine.general.values;
  return v.has("rotor_material") ? v.text("rotor_material") : v.text("stator_material");
}

bool check_rotor_fits(const Machine& machine, double bore, Faults& faults) {
  const double surface = bore - machine.rotor.values.number("air_gap");
  if (surface <= 0) {
    add_fault(faults, machine.rotor, "air_gap",
              fmt::format("leaves no rotor in the bore, {} in diameter", millimetres(2 * bore)),
              fmt::format("less than {}", rounded_down(bore)));
    return false;
  }
  const double least_core = 0.1e-3;
  if (shaft_radius(machine) < surface - least_core) return true;
  add_fault(faults, machine.rotor, "shaft_diameter",
            fmt::format("leaves no core in the rotor, {} in diameter", millimetres(2 * surface)),
            fmt::format("less than {}", rounded_down(2 * std::max(surface - least_core, 0.0))));
  return false;
}

Parameter length_parameter(std::string name, double lower_mm, double upper_mm, std::string fallback_mm,
                           std::string sentence) {
  Parameter p;
  p.name = std::move(name);
  p.kind = Kind::length;
  p.unit = "mm";
  p.lower = lower_mm;
  p.upper = upper_mm;
  if (!fallback_mm.empty()) p.fallback = fallback_mm + " mm";
  p.sentence = std::move(sentence);
  return p;
}

Parameter optional_length(std::string name, double lower_mm, double upper_mm, std::string sentence) {
  Parameter p = length_parameter(std::move(name), lower_mm, upper_mm, "", std::move(sentence));
  p.optional = true;
  return p;
}

Parameter integer_parameter(std::string name, int lower, int upper, std::string fallback, std::string sentence) {
  Parameter p;
  p.name = std::move(name);
  p.form = Form::integer;
  p.lower = lower;
  p.upper = upper;
  p.fallback = std::move(fallback);
  p.sentence = std::move(sentence);
  return p;
}

Parameter number_parameter(std::string name, double lower, double upper, std::string fallback, std::string sentence) {
  Parameter p;
  p.name = std::move(name);
  p.lower = lower;
  p.upper = upper;
  p.fallback = std::move(fallback);
  p.sentence = std::move(sentence);
  return p;
}

Parameter material_parameter(std::string name, std::string fallback, std::string sentence) {
  Parameter p;
  p.name = std::move(name);
  p.form = Form::text;
  p.fallback = std::move(fallback);
  p.sentence = std::move(sentence);
  return p;
}

namespace {

constexpr int digits = 4;  // of dimensions that follow from others

std::string in_millimetres(double mm) {
  return fmt::format("{:.{}g} mm", mm, digits);
}

double last_digit(double mm) {
  return mm > 0 ? std::pow(10.0, std::floor(std::log10(mm)) - (digits - 1)) : 1;
}

}  // namespace

std::string millimetres(double si) {
  return in_millimetres(si * 1e3);
}

std::string rounded_down(double si) {
  const double unit = last_digit(si * 1e3);
  return in_millimetres(unit * std::floor(si * 1e3 / unit * (1 + 1e-12)));
}

std::string rounded_up(double si) {
  const double unit = last_digit(si * 1e3);
  return in_millimetres(unit * std::ceil(si * 1e3 / unit * (1 - 1e-12)));
}

std::string said(const Block& block, const std::string& name) {
  if (name == "file") return fmt::format("{}.file = \"{}\"", block.path, block.values.text(name));
  return fmt::format("{}.{} = {}", block.path, name, format_quantity(Kind::length, block.values.number(name), "mm"));
}

void add_fault(Faults& faults, const Block& block, const std::string& name, const std::string& what_is_wrong,
               const std::string& hint) {
  faults.push_back({block.values.place(name), said(block, name) + " " + what_is_wrong, hint});
}

Region make_region(const SideDrawing& drawing, Role role, std::string name, std::string material) {
  Region region;
  region.name = std::move(name);
  region.role = role;
  region.side = drawing.side;
  region.material = std::move(material);
  return region;
}

void add_ring(SideDrawing& drawing, double radius, const std::string& part) {
  add_ring_arc(drawing.sketch, radius, drawing.start_angle, drawing.start_angle + drawing.sector_angle,
               add_part(drawing.sketch, part));
}

void add_edges(SideDrawing& drawing, double inner, double outer) {
  if (drawing.closed) return;
  const int part = add_part(drawing.sketch, "edge of the sector");
  for (double angle : {drawing.start_angle, drawing.start_angle + drawing.sector_angle})
    add_line(drawing.sketch, polar(inner, angle), polar(outer, angle), part);
}

void draw_shaft(const Plan& plan, SideDrawing& drawing, double radius) {
  if (radius <= 0) return;
  const Values& general = plan.machine->general.values;
  const std::string& shaft = general.text("shaft");
  const Point seed = polar(radius / 2, drawing.start_angle + drawing.sector_angle / 2);
  add_ring(drawing, radius, "shaft");
  if (shaft == "hollow") {
    drawing.far_radius = radius;
    if (drawing.closed) add_empty_label(drawing.sketch, "hollow shaft", seed);
    return;
  }
  const std::string material = shaft == "meshed" ? general.text("shaft_material") : "air";
  add_label(drawing.sketch, make_region(drawing, Role::shaft, "shaft", material), seed);
}

Gauge::Cut make_cut(Point from, Point to) {
  Gauge::Cut cut;
  cut.from = from;
  cut.to = to;
  cut.width = distance(from, to);
  return cut;
}

Gauge make_yoke_gauge(Gauge::Part part, Side side, std::string name, double angle, double from, double to) {
  Gauge gauge;
  gauge.part = part;
  gauge.name = std::move(name);
  gauge.side = side;
  gauge.cuts = {make_cut(polar(from, angle), polar(to, angle))};
  return gauge;
}

}  // namespace polepitch
