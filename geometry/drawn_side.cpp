// Stator and rotor from a drawing: their parameters, checks, and place in the machine.
#include "geometry/drawn_side.h"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/cage_parts.h"
#include "geometry/damper_bars.h"
#include "geometry/side_types.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

const Block& block_of(const Machine& machine, Side side) {
  return side == Side::stator ? machine.stator : machine.rotor;
}

double rotor_radius(const Machine& machine, double stator) {
  const double gap = machine.rotor.values.number("air_gap");
  return rotor_outside(machine) ? stator + gap : stator - gap;
}

// A second bar at the same angle would be a second cage, with rings of its own.
void check_bars(const DrawnSide& side, Faults& faults) {
  const auto cage_bar = [&](const DrawnUnit& unit) {
    const AreaRule& rule = side.rules[static_cast<std::size_t>(unit.rule)];
    return rule.role == Role::bar && !rule.damper;
  };
  for (std::size_t i = 0; i < side.units.size(); ++i)
    for (std::size_t j = i + 1; j < side.units.size(); ++j) {
      const DrawnUnit &a = side.units[i], &b = side.units[j];
      if (!cage_bar(a) || !cage_bar(b) || std::abs(angle_between(a.angle(), b.angle())) > 1e-3) continue;
      faults.push_back({side.rules[static_cast<std::size_t>(b.rule)].place,
                        fmt::format("two bars of the drawn cage lie above one another, {} and {}",
                                    place_words(a.centroid), place_words(b.centroid)),
                        "a drawn cage is a single one: draw slot and bar as one area, or take the rotor double-cage"});
      return;
    }
}

}  // namespace

std::string surface_key(const DrawnSide& side) {
  if (side.side == Side::rotor) return "air_gap";
  return side.outer_side ? "bore_diameter" : "outer_diameter";
}

DrawnSide drawn_side(const Machine& machine, Side which, Faults& faults) {
  const Block& block = block_of(machine, which);
  DrawnSide side;
  side.side = which;
  side.outer_side = (which == Side::stator) != rotor_outside(machine);
  side.drawing = block.drawing.get();
  side.snap = block.values.number("snap");
  side.poles = 2 * machine.pole_pairs();
  const double stator = stator_radius(machine);
  side.surface = which == Side::stator ? stator : rotor_radius(machine, stator);
  if (which == Side::rotor) side.other_surface = stator;
  const std::size_t before = faults.size();
  side.rules = area_rules(machine, block, faults);
  if (!trace_side(side, block, faults)) return side;
  check_reach(side, block, faults);
  if (which == Side::rotor) {
    const double pitch = 2 * pi / side.poles;
    side.axis = block.values.has("axis") ? block.values.number("axis") : side.joints ? side.first_angle + pitch / 2 : 0;
  }
  if (faults.size() > before) return side;
  Faults own;
  assign_roles(side, own);
  faults.insert(faults.end(), own.begin(), own.end());
  if (!own.empty()) return side;
  gather_units(side);
  if (which == Side::rotor) check_bars(side, faults);
  if (which == Side::rotor || !machine.winding.present) return side;
  const int slots = block.values.integer("slots"), layers = machine.winding.values.integer("layers");
  if (count_coil_sides(side) < slots * layers) gather_units(side, true);
  number_slots(side, slots, layers, block, faults);
  return side;
}

namespace {

// ---- stator

int slots(const Block& stator) {
  return stator.values.integer("slots");
}

void check_stator(const Machine& machine, Faults& faults) {
  const DrawnSide side = drawn_side(machine, Side::stator, faults);
  if (faults.empty()) drawn_symmetry(side, machine.stator);
}

// Sectors whose edges cut no coil side.
Symmetry stator_symmetry(const Machine& machine) {
  Faults none;
  const DrawnSide side = drawn_side(machine, Side::stator, none);
  double angle = 0;
  const Symmetry found = drawn_symmetry(side, machine.stator);
  return free_edge(side, 0, angle) ? Symmetry{found.sectors, 0} : Symmetry{1, 1};
}

void draw_stator(const Plan& plan, SideDrawing& drawing) {
  Faults none;
  const DrawnSide side = drawn_side(*plan.machine, Side::stator, none);
  double turn = 0, edge = side.first_angle;
  if (!side.slot_angles.empty()) {
    turn = plan.winding.slot_angle(0) - side.slot_angles[0];
    free_edge(side, side.slot_angles[0] - pi / static_cast<double>(side.slot_angles.size()), edge);
  }
  drawing.start_angle = edge + turn;
  draw_sector(plan, side, turn, drawing);
}

// ---- rotor

void check_rotor(const Machine& machine, double bore, Faults& faults) {
  const double radius = rotor_radius(machine, bore);
  if (radius <= 0) {
    add_fault(faults, machine.rotor, "air_gap",
              fmt::format("leaves no rotor in the bore, {} in diameter", millimetres(2 * bore)),
              fmt::format("less than {}", rounded_down(bore)));
    return;
  }
  if (!rotor_outside(machine)) check_rings(machine, "", faults);
  const std::size_t before = faults.size();
  const DrawnSide side = drawn_side(machine, Side::rotor, faults);
  if (faults.size() == before) drawn_symmetry(side, machine.rotor);
}

Symmetry rotor_symmetry(const Machine& machine) {
  Faults none;
  const DrawnSide side = drawn_side(machine, Side::rotor, none);
  double angle = 0;
  return free_edge(side, side.axis, angle) ? drawn_symmetry(side, machine.rotor) : Symmetry{1, 1};
}

void draw_rotor(const Plan& plan, SideDrawing& drawing) {
  Faults none;
  const DrawnSide side = drawn_side(*plan.machine, Side::rotor, none);
  double edge = 0;
  free_edge(side, side.axis - pi / side.poles, edge);
  drawing.start_angle = edge - side.axis;
  draw_sector(plan, side, -side.axis, drawing);
}

Parameter angle_parameter(const char* name, const char* sentence) {
  Parameter p = number_parameter(name, -360, 360, "", sentence);
  p.kind = Kind::angle;
  p.unit = "deg";
  p.optional = true;
  return p;
}

std::vector<Parameter> with_file(std::vector<Parameter> own) {
  std::vector<Parameter> table = drawing_file_parameters();
  for (Parameter& p : own) table.push_back(std::move(p));
  for (Parameter& p : drawn_side_parameters()) table.push_back(std::move(p));
  return table;
}

}  // namespace

namespace {

std::vector<std::string> uneven_stator(const Machine& machine) {
  if (!stator_type(machine.stator).entry.is_drawn || !machine.winding.present) return {};
  Faults none;
  const DrawnSide side = drawn_side(machine, Side::stator, none);
  const int sectors = drawn_symmetry(side, machine.stator).sectors, slots = static_cast<int>(side.slot_angles.size());
  const int belts = 2 * machine.pole_pairs() * machine.winding.values.integer("phases");
  if (sectors % slots == 0 || sectors % belts == 0) return {};
  return {fmt::format(
      "the drawn stator repeats {} times round the axis, not with each of its {} slots or {} phase belts: means "
      "over rotor positions and cogging span one belt, or one step of slots and poles, and miss how the "
      "others differ",
      sectors, slots, belts)};
}

}  // namespace

std::vector<std::string> drawn_warnings(const Machine& machine) {
  std::vector<std::string> warnings = uneven_stator(machine);
  if (rotor_type(machine.rotor).entry.is_drawn)
    for (const char* part : {"bridge", "pole_core", "pole_shoe"})
      if (machine.limits.values.has(part))
        warnings.push_back(
            fmt::format("limits.{0} is not compared with anything: a drawing does not say which iron of the "
                        "rotor is a {0}; teeth between bars and yokes are measured",
                        part));
  return warnings;
}

std::vector<Parameter> drawing_file_parameters() {
  const Parameter file{
      .name = "file",
      .form = Form::text,
      .sentence = "The drawing (drawings.md): DXF, or faces as STEP or BREP; the path is relative to the case file."};
  const Parameter unit{
      .name = "unit",
      .form = Form::choice,
      .fallback = "declared",
      .choices = {"declared", "mm", "cm", "m", "inch"},
      .sentence = "Unit of the drawing's coordinates: the one that it declares ($INSUNITS), or this one."};
  const Parameter layers{
      .name = "layers",
      .form = Form::text_list,
      .optional = true,
      .sentence = "Layers whose lines are taken; all when it is not given. * stands for any letters.",
      .hint = "layers = [\"ROTOR*\"]"};
  return {file, unit, layers,
          length_parameter("snap", 1e-6, 1, "0.001", "Ends of lines that are nearer than this count as one point."),
          length_parameter("tolerance", 1e-6, 1, "0.001",
                           "Largest distance between a spline or ellipse and the arcs that it is drawn as.")};
}

std::vector<Parameter> drawn_side_parameters() {
  Parameter copies =
      integer_parameter("copies", 1, 500, "",
                        "How often what is drawn repeats round the axis; found from its edges when it is "
                        "not given.");
  copies.optional = true;
  Parameter symmetry = integer_parameter("symmetry", 1, 500, "",
                                         "Sectors that are equal but for the sign of their sources: the drawing is "
                                         "checked against it; found when it is not given.");
  symmetry.optional = true;
  return {copies, symmetry};
}

namespace {

StatorType stator_from_drawing(const char* name, const char* sentence, Parameter surface, bool rotor_outside) {
  CatalogueEntry entry{name, sentence,
                       with_file({
                           std::move(surface),
                           integer_parameter("slots", 2, 500, "", "Number of slots round the axis."),
                           angle_parameter("first_slot",
                                           "Angle in the drawing near which the winding's first slot lies; the first "
                                           "one that is drawn when it is not given."),
                       })};
  entry.is_drawn = entry.takes_areas = true;
  entry.rotor_outside = rotor_outside;
  return {std::move(entry), slots, check_stator, stator_symmetry, draw_stator};
}

Parameter axis_parameter() {
  return angle_parameter("axis",
                         "Angle in the drawing of a north pole's axis, which becomes the d-axis; the middle of the "
                         "first pole of a drawn sector, or the x axis, when it is not given.");
}

Parameter paths_parameter() {
  return integer_parameter("field_parallel_paths", 1, 100, "1", "Parallel paths of the field winding.");
}

}  // namespace

const StatorType& drawn_stator() {
  static const StatorType type = stator_from_drawing(
      "drawing",
      "Stator from a drawing of its slot pitch, a sector of it or the whole; [[stator.area]] tables say what its areas "
      "are.",
      length_parameter("bore_diameter", 5, 20000, "",
                       "Inner diameter of the drawn core; what the drawing holds inside is left out."),
      false);
  return type;
}

const StatorType& inner_drawn_stator() {
  static const StatorType type = stator_from_drawing(
      "inner-drawing", "Stator inside its rotor, from a drawing as that of type \"drawing\".",
      length_parameter("outer_diameter", 5, 20000, "",
                       "Outer diameter of the drawn core, at the air gap; what the drawing holds outside is left out."),
      true);
  return type;
}

const RotorType& outer_drawn_rotor() {
  static const RotorType type = [] {
    CatalogueEntry entry{"outer-drawing",
                         "Rotor around its stator, from a drawing as that of type \"drawing\"; without bars.",
                         with_file({
                             length_parameter("air_gap", 0.05, 200, "",
                                              "Smallest air gap, between the stator and the drawn rotor; what the "
                                              "drawing holds inside of the rotor is left out."),
                             axis_parameter(),
                             paths_parameter(),
                         })};
    entry.is_drawn = entry.takes_areas = entry.rotor_outside = true;
    return RotorType{entry, rotor_radius, check_rotor, rotor_symmetry, draw_rotor};
  }();
  return type;
}

const RotorType& drawn_rotor() {
  static const RotorType type = [] {
    CatalogueEntry entry{
        "drawing",
        "Rotor from a drawing of a pole, a sector of it or the whole; [[rotor.area]] tables say what "
        "its areas are.",
        with_file({
            length_parameter("air_gap", 0.05, 200, "",
                             "Smallest air gap, between the drawn rotor and the bore; what the drawing "
                             "holds outside of the rotor is left out."),
            axis_parameter(),
            paths_parameter(),
            length_parameter("bar_overhang", 0, 500, "0",
                             "Length by which a bar of a cage leaves the stack at each end, up to its ring."),
        })};
    for (Parameter& p : ring_parameters("", "an end ring of a cage")) entry.parameters.push_back(std::move(p));
    for (Parameter& p : damper_ring_parameters()) entry.parameters.push_back(std::move(p));
    entry.is_drawn = entry.takes_areas = true;
    return RotorType{entry, rotor_radius, check_rotor, rotor_symmetry, draw_rotor};
  }();
  return type;
}

}  // namespace polepitch
