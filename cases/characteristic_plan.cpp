#include <algorithm>

#include "cases/characteristic_studies.h"
#include "cases/cogging.h"
#include "cases/load.h"

namespace polepitch {
namespace {

Parameter positions() {
  return {.name = "positions",
          .form = Form::integer,
          .lower = 1,
          .upper = 720,
          .fallback = "12",
          .sentence = "Rotor positions over one ripple period whose mean is reported."};
}

Parameter points() {
  return {.name = "points",
          .form = Form::integer,
          .lower = 3,
          .upper = 200,
          .fallback = "12",
          .sentence = "Points of each curve; more are solved where a number is read."};
}

Parameter largest_voltage() {
  return {.name = "largest_voltage",
          .lower = 0.1,
          .upper = 3,
          .fallback = "1.3",
          .sentence = "End of the no-load and zero-power-factor curves, as a multiple of rated voltage."};
}

Parameter largest_current() {
  return {.name = "largest_current",
          .lower = 1,
          .upper = 5,
          .fallback = "1.2",
          .sentence = "End of the short-circuit curve, as a multiple of the field current of rated armature current."};
}

Parameter resistance() {
  return {
      .name = "resistance",
      .form = Form::flag,
      .fallback = "true",
      .sentence = "Whether the direct-current resistance of the phases counts, where [winding] states a conductor."};
}

std::vector<Parameter> waveform_parameters() {
  return {{.name = "field_current",
           .kind = Kind::current,
           .unit = "A",
           .lower = 1e-6,
           .upper = 1e5,
           .optional = true,
           .sentence = "Field current of voltage waveform and cogging; that of rated voltage when it is not given."},
          {.name = "emf_positions",
           .form = Form::integer,
           .lower = 0,
           .upper = 2000,
           .fallback = "40",
           .sentence = "Rotor positions over 60 degrees electrical (three phases) from whose linkages the voltage "
                       "waveform is derived; 34 and more give orders to 100; 0 leaves it out."},
          {.name = "cogging_angles",
           .form = Form::integer,
           .lower = 0,
           .upper = 720,
           .fallback = "24",
           .sentence = "Rotor positions over one cogging period without stator current; 0 leaves it out."}};
}

/// States on a coarse mesh: where the curves' ends and ratings lie is found on the field itself.
std::vector<Excitation> found_states(const Case& kase, const Section& section, const CharacteristicPlan& plan,
                                     bool loaded) {
  constexpr double kCoarse = 0.25, kShares[] = {0.21, 0.47, 0.68, 0.9};
  const Mesh mesh = mesh_section(section, {kCoarse});
  FieldPool fields(section, mesh, kase.materials, {}, 1);
  StudyContext context{kase, section, mesh, fields, "states", [](double) {}};
  SteadyState steady(context, steady_options(context, 1, plan.resistance));
  const Rated rated = rated_of(kase);
  std::vector<Excitation> states;
  const auto add = [&](Phasor current, double field_current) {
    const double angle = kShares[states.size() % 4] * ripple_period(section);
    states.push_back(dq_excitation(section, {current.real(), current.imag(), 0}, field_current, angle));
  };
  if (field_branch(section) < 0) {
    for (int k = 0; k < 3; ++k) add(0, 0);
    return states;
  }
  const NoLoadCurve no_load(steady, 3, plan.largest_voltage * rated.voltage);
  add(0, 0.5 * no_load.curve().x().back());
  add(0, no_load.curve().x().back());
  if (!loaded) return states;
  const ShortCircuitCurve shorted = short_circuit_curve(steady, rated, 1, 1);
  add(shorted.rated.current, shorted.i_fk);
  const ZeroPowerFactorCurve zero = zero_power_factor_curve(steady, rated, shorted, 1, 1);
  if (zero.i_fa > 0) add(Phasor(-std::sqrt(2.0) * rated.current, 0), zero.i_fa);
  return states;
}

}  // namespace

std::vector<Parameter> open_circuit_parameters() {
  std::vector<Parameter> list = {largest_voltage(), points(), positions()};
  for (const Parameter& p : waveform_parameters()) list.push_back(p);
  return list;
}

std::vector<Parameter> short_circuit_parameters() {
  return {largest_current(), points(), positions(), resistance()};
}

std::vector<Parameter> zero_power_factor_parameters() {
  return {largest_voltage(), points(), positions(), resistance()};
}

std::vector<Parameter> characteristics_parameters() {
  std::vector<Parameter> list = {largest_voltage(), largest_current(), points(), positions(), resistance()};
  for (const Parameter& p : waveform_parameters()) list.push_back(p);
  return list;
}

CharacteristicPlan read_characteristic_plan(const Block& study) {
  const Values& v = study.values;
  CharacteristicPlan plan;
  plan.positions = v.integer("positions");
  plan.points = v.integer("points");
  if (v.has("largest_voltage")) plan.largest_voltage = v.number("largest_voltage");
  if (v.has("largest_current")) plan.largest_current = v.number("largest_current");
  if (v.has("resistance")) plan.resistance = v.flag("resistance");
  if (v.has("emf_positions")) plan.emf_positions = v.integer("emf_positions");
  if (v.has("cogging_angles")) plan.cogging_angles = v.integer("cogging_angles");
  if (v.has("field_current")) plan.field_current = v.number("field_current");
  return plan;
}

void check_characteristics(const Section& section, const Block& study, bool field_winding_needed) {
  if (phase_count(section) == 0)
    throw InputError(study.type + " needs a stator winding", "give the machine a [winding]", study.place);
  if (field_branch(section) < 0 && (field_winding_needed || !rotor_has_source(section, 0)))
    throw InputError(study.type + (field_winding_needed ? " needs a field winding, which this rotor does not have"
                                                        : " needs a field winding or magnets on the rotor"),
                     field_winding_needed && rotor_has_source(section, 0)
                         ? "magnets alone have the studies open-circuit and short-circuit"
                         : "take a rotor that makes a field, such as \"salient-pole\" or \"cylindrical\"",
                     study.place);
}

std::vector<Excitation> characteristic_states(const Case& kase, const Section& section, const Block& study,
                                              bool loaded) {
  return found_states(kase, section, read_characteristic_plan(study), loaded);
}

}  // namespace polepitch
