// Squirrel cages: slots of any shape, each filled with one bar or with two.
#include "geometry/cage_parts.h"
#include "geometry/side_types.h"

#include <fmt/format.h>

namespace polepitch {

namespace {

double radius(const Machine& machine, double bore) {
  return bore - machine.rotor.values.number("air_gap");
}

Symmetry symmetry(const Machine& machine) {
  return {machine.rotor.values.integer("bars"), 0};
}

void check(const Machine& machine, double bore, Faults& faults) {
  check_rings(machine, "", faults);
  check_cage(machine, bore, faults);
}

void draw(const Plan& plan, SideDrawing& drawing) {
  draw_cage(plan, drawing, {plan.machine->rotor.values.text("bar_material")}, 0.5);
}

void check_double(const Machine& machine, double bore, Faults& faults) {
  const Values& v = machine.rotor.values;
  check_rings(machine, "", faults);
  check_rings(machine, "outer_", faults);
  if (v.text("rings") == "common")
    for (const char* key : {"outer_ring_height", "outer_ring_width", "outer_ring_mean_diameter",
                            "outer_ring_segment_resistance", "outer_ring_segment_inductance"})
      if (v.has(key))
        faults.push_back({v.place(key), fmt::format("rotor.{} is given, but both cages share their rings", key),
                          "leave it out, or say rings = \"separate\""});
  if (machine.rotor_slot.type == "double" && v.given("bar_split"))
    faults.push_back({v.place("bar_split"),
                      "rotor.bar_split does not fit a slot of shape \"double\", whose slit divides it",
                      "leave it out"});
  check_cage(machine, bore, faults);
}

void draw_double(const Plan& plan, SideDrawing& drawing) {
  const Values& v = plan.machine->rotor.values;
  draw_cage(plan, drawing, {v.text("bar_material"), v.text("outer_bar_material")}, v.number("bar_split"));
}

std::vector<Parameter> common_parameters(const char* bars, const char* material) {
  return {
      length_parameter("air_gap", 0.1, 200, "", "Air gap between rotor and bore."),
      integer_parameter("bars", 3, 500, "", bars),
      material_parameter("bar_material", "aluminium", material),
      length_parameter("shaft_diameter", 0, 10000, "0", "Diameter of the shaft; 0 means a solid rotor."),
      length_parameter("bar_overhang", 0, 2000, "0",
                       "Length of a bar between stack and ring at each end; 0: the rings lie at the stack."),
  };
}

std::vector<Parameter> single_parameters() {
  std::vector<Parameter> table = common_parameters("Number of bars.", "Material of the bars and rings.");
  for (Parameter& p : ring_parameters("", "an end ring")) table.push_back(std::move(p));
  return table;
}

std::vector<Parameter> double_parameters() {
  std::vector<Parameter> table = common_parameters(
      "Number of bars of each cage.", "Material of the inner bars, at the slot bottom, and of their rings.");
  table.push_back(material_parameter("outer_bar_material", "aluminium",
                                     "Material of the outer bars, at the opening, and of rings of their own."));
  table.push_back(number_parameter("bar_split", 0.1, 0.9, "0.5",
                                   "Share of the height of the slot body that the inner bar takes; a slot of shape "
                                   "\"double\" is divided by its slit."));
  Parameter rings;
  rings.name = "rings";
  rings.form = Form::choice;
  rings.fallback = "common";
  rings.choices = {"common", "separate"};
  rings.sentence = "Whether both cages share their end rings, or each has its own.";
  table.push_back(std::move(rings));
  for (Parameter& p : ring_parameters("", "an end ring, common or of the inner cage")) table.push_back(std::move(p));
  for (Parameter& p : ring_parameters("outer_", "an end ring of the outer cage")) table.push_back(std::move(p));
  return table;
}

}  // namespace

const RotorType& cage_rotor() {
  static const RotorType type{{"cage", "Squirrel cage: slots of any shape, open or closed, each filled with one bar.",
                               single_parameters(), true},
                              radius,
                              check,
                              symmetry,
                              draw};
  return type;
}

const RotorType& double_cage_rotor() {
  static const RotorType type{{"double-cage",
                               "Squirrel cage of two bars a slot: an outer one that starts, an inner one that runs; "
                               "slots of shape \"double\", or "
                               "of any other, whose body is divided.",
                               double_parameters(), true},
                              radius,
                              check_double,
                              symmetry,
                              draw_double};
  return type;
}

}  // namespace polepitch
