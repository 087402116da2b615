#include "geometry/machine.h"

#include <cmath>
#include <numbers>

namespace polepitch {

const std::vector<Parameter>& rating_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "power",
       .kind = Kind::apparent_power,
       .unit = "kVA",
       .lower = 1e-3,
       .upper = 2e6,
       .sentence = "Rated apparent power at the terminals, the base power of per unit.",
       .hint = "of a motor rated in kW: shaft power / (efficiency x power factor)"},
      {.name = "line_voltage",
       .kind = Kind::voltage,
       .unit = "V",
       .lower = 1,
       .upper = 1e5,
       .sentence = "Rated line-to-line voltage, r.m.s."},
      {.name = "frequency",
       .kind = Kind::frequency,
       .unit = "Hz",
       .lower = 0.1,
       .upper = 1e4,
       .sentence = "Rated frequency of the stator currents."},
      {.name = "power_factor",
       .lower = 0.05,
       .upper = 1,
       .sentence = "Rated power factor; whether it lags or leads is stated by a study, not here."},
      {.name = "connection",
       .form = Form::choice,
       .fallback = "star",
       .choices = {"star", "delta"},
       .sentence = "How the phases are connected to the terminals."},
      {.name = "speed",
       .kind = Kind::speed,
       .unit = "rpm",
       .lower = 0.01,
       .upper = 3e5,
       .optional = true,
       .sentence = "Rated speed of the shaft, where it is not the synchronous one."},
  };
  return table;
}

const std::vector<Parameter>& general_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "pole_pairs", .form = Form::integer, .lower = 1, .upper = 100, .sentence = "Number of pole pairs p."},
      {.name = "length",
       .kind = Kind::length,
       .unit = "mm",
       .lower = 1,
       .upper = 2e4,
       .sentence = "Stack length, ventilation ducts deducted, the same for every part of the section."},
      {.name = "stacking_factor",
       .lower = 0.5,
       .upper = 1,
       .fallback = "0.97",
       .sentence = "Share of lamination in the stack length of the laminated cores."},
      {.name = "stator_material", .form = Form::text, .sentence = "Material of the stator core."},
      {.name = "rotor_material",
       .form = Form::text,
       .optional = true,
       .sentence = "Material of the rotor core; that of the stator core when it is not given."},
      {.name = "shaft_material",
       .form = Form::text,
       .fallback = "shaft-steel",
       .sentence = "Material of a shaft that is meshed."},
      {.name = "shaft",
       .form = Form::choice,
       .fallback = "meshed",
       .choices = {"meshed", "hollow", "non-magnetic"},
       .sentence =
           "What is inside the inner core, the rotor's or, where the rotor is outside, the stator's: a solid shaft "
           "with "
           "its material, nothing that flux enters (its circle is a flux line), or a non-magnetic shaft that is meshed "
           "as air."},
      {.name = "outer_boundary",
       .form = Form::choice,
       .fallback = "zero",
       .choices = {"zero", "open"},
       .sentence = "At the outer surface of the machine: no flux leaves, or unbounded air outside."},
      {.name = "temperature",
       .kind = Kind::temperature,
       .unit = "degC",
       .lower = -60,
       .upper = 300,
       .fallback = "75 degC",
       .sentence = "Temperature of windings and bars, for their resistances."},
      {.name = "skew",
       .kind = Kind::angle,
       .unit = "deg",
       .lower = -180,
       .upper = 180,
       .fallback = "0 deg",
       .sentence = "Mechanical angle by which stator and rotor are turned against each other from one end of the stack "
                   "to the other.",
       .hint = "one slot pitch of the stator is usual"},
      {.name = "skew_slices",
       .form = Form::integer,
       .lower = 2,
       .upper = 50,
       .fallback = "5",
       .sentence = "Equal slices of the stack that a skewed machine is solved in: the steps of a rotor built of "
                   "segments, or enough of them for a continuous skew."},
      {.name = "magnet_temperature",
       .kind = Kind::temperature,
       .unit = "degC",
       .lower = -60,
       .upper = 300,
       .fallback = "20 degC",
       .sentence = "Temperature of the magnets, for their remanence."},
  };
  return table;
}

const std::vector<Parameter>& mesh_parameters() {
  static const std::vector<Parameter> table = {
      {.name = "density",
       .lower = 0.2,
       .upper = 10,
       .fallback = "0.6",
       .sentence = "Scales the number of edges per length of the first mesh, which `check` shows; 2 gives four times "
                   "the elements. The studies run on meshes that are adapted from there."},
      {.name = "accuracy",
       .lower = 1e-5,
       .upper = 0.1,
       .fallback = "0.0005",
       .sentence = "The mesh is refined until the estimated errors of torque, over rated torque, and of flux linkages, "
                   "over their largest, are below this. It decides over `density`.",
       .hint = "0.0005 serves most questions, 0.005 a quick look"},
      {.name = "most_elements",
       .lower = 500,
       .upper = 200000,
       .fallback = "20000",
       .sentence = "Elements a pole at which refinement stops even if the accuracy is not met; a warning says so."},
      {.name = "adaptive",
       .form = Form::flag,
       .fallback = "true",
       .sentence =
           "False: the studies run on the first mesh, whatever the accuracy; errors come from one coarser mesh."},
      {.name = "element_order",
       .form = Form::choice,
       .fallback = "third",
       .choices = {"second", "third"},
       .sentence =
           "Order of the elements of static fields. Second order takes a quarter to a half less time and leaves three "
           "to ten times the error of flux linkages and torque on the same mesh. Fields with eddy currents stay of "
           "second order."},
      {.name = "iteration",
       .form = Form::choice,
       .fallback = "full",
       .choices = {"full", "short"},
       .sentence =
           "How far each field is iterated: full, to a relative residual of 1e-6; short, until what is left of "
           "torque, over rated torque, and of the flux linkages is estimated under 1e-5: a third to a half less "
           "time."},
  };
  return table;
}

const std::vector<Parameter>& limit_parameters() {
  const auto flux_density = [](const char* name, const char* sentence) {
    return Parameter{.name = name,
                     .kind = Kind::flux_density,
                     .unit = "T",
                     .lower = 0.1,
                     .upper = 3,
                     .optional = true,
                     .sentence = sentence};
  };
  static const std::vector<Parameter> table = {
      flux_density("stator_tooth", "Largest flux density that the design allows in a stator tooth."),
      flux_density("stator_yoke", "Largest flux density that the design allows in the stator yoke."),
      flux_density("rotor_tooth", "Largest flux density that the design allows in a rotor tooth."),
      flux_density("rotor_yoke", "Largest flux density that the design allows in the rotor yoke."),
      flux_density("pole_core", "Largest flux density that the design allows in the body of a pole."),
      flux_density("pole_shoe", "Largest flux density that the design allows in the shoe of a pole."),
      flux_density("bridge", "Largest flux density that the design allows in bridges and ribs around magnets."),
      {.name = "current_density",
       .kind = Kind::current_density,
       .unit = "A/mm^2",
       .lower = 0.1,
       .upper = 100,
       .optional = true,
       .sentence = "Largest r.m.s. current density that the design allows in the stator winding."},
      {.name = "field_current_density",
       .kind = Kind::current_density,
       .unit = "A/mm^2",
       .lower = 0.1,
       .upper = 100,
       .optional = true,
       .sentence = "Largest current density that the design allows in the field winding."},
  };
  return table;
}

namespace {

/// Phase voltage of a star over its line voltage. Sets of three phases are each a three-phase star; other phase
/// numbers take the voltage between neighbouring phases as the line voltage; one and two phases have no star.
double star_ratio(int phases) {
  if (phases <= 2) return 1;
  if (phases % 3 == 0) return 1 / std::numbers::sqrt3;
  return 1 / (2 * std::sin(std::numbers::pi / phases));
}

}  // namespace

PerUnitBase per_unit_base(const Machine& machine) {
  const Values& rating = machine.rating.values;
  const int phases = machine.winding.values.has("phases") ? machine.winding.values.integer("phases") : 3;
  PerUnitBase base;
  base.star = rating.text("connection") == "star";
  base.power = rating.number("power");
  base.voltage = rating.number("line_voltage") * std::numbers::sqrt2 * (base.star ? star_ratio(phases) : 1);
  base.current = 2 * base.power / (phases * base.voltage);
  base.omega = 2 * std::numbers::pi * rating.number("frequency");
  base.impedance = base.voltage / base.current;
  base.torque = base.power * machine.pole_pairs() / base.omega;
  return base;
}

}  // namespace polepitch
