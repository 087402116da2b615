// What a frequency-response study asks for, and what it refuses.
#include <fmt/format.h>

#include <cmath>

#include "cases/frequency_response.h"
#include "cases/study_tools.h"
#include "post/damper_rings.h"
#include "post/dq.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

Parameter flag(const char* name, const char* fallback, const char* sentence) {
  return {.name = name, .form = Form::flag, .fallback = fallback, .sentence = sentence};
}

Parameter frequency(const char* name, const char* fallback, const char* sentence) {
  return {.name = name,
          .kind = Kind::frequency,
          .unit = "Hz",
          .lower = 1e-5,
          .upper = 1e5,
          .fallback = fallback,
          .sentence = sentence};
}

Parameter resistance(const char* name, const char* sentence) {
  return {.name = name,
          .kind = Kind::resistance,
          .unit = "ohm",
          .lower = 0,
          .upper = 1e6,
          .optional = true,
          .sentence = sentence};
}

bool is_damper(const Section& section, const Region& region) {
  return region.branch >= 0 && section.branches[region.branch].kind == BranchKind::damper;
}

/// Rotor parts that carry eddy currents, and their conductivity at the machine's temperature.
std::vector<double> conductivities(const Case& kase, const Section& section, const Block& study,
                                   std::vector<Diagnostic>& faults) {
  const Values& v = study.values;
  const double temperature = kase.machine.general.values.number("temperature");
  std::vector<double> list;
  bool core = false;
  for (const Region& region : section.regions) {
    const Material& material = kase.materials.at(region.material);
    const bool solid = region.role == Role::layer || region.role == Role::sleeve ||
                       (region.role == Role::shaft && v.flag("solid_shaft")) ||
                       (region.role == Role::wedge && v.flag("solid_wedges")) ||
                       (region.role == Role::core && v.flag("solid_core"));
    const bool taken = region.side == Side::rotor && ((solid && region.branch < 0) || is_damper(section, region));
    list.push_back(taken && material.conductivity > 0 ? material.conductivity_at(temperature) : 0);
    core = core || (taken && region.role == Role::core && list.back() > 0);
    if (is_damper(section, region) && list.back() == 0 && faults.empty())
      faults.push_back({study.place,
                        fmt::format("the damper bars are of \"{}\", whose conductivity is not stated", region.material),
                        "state conductivity in the material's file"});
  }
  if (v.flag("solid_core") && !core)
    faults.push_back({v.place("solid_core"),
                      study.path + ".solid_core is true, but the rotor core's material states no conductivity",
                      "name a rotor_material with conductivity, or leave the key out for a laminated rotor"});
  return list;
}

void read_field_winding(const Case& kase, const Section& section, const Block& study, StandstillCircuit& circuit,
                        std::vector<Diagnostic>& faults) {
  const Values& v = study.values;
  circuit.field = field_branch(section) >= 0;
  if (!circuit.field) {
    if (v.has("field_resistance"))
      faults.push_back({v.place("field_resistance"),
                        study.path + ".field_resistance is given, but this rotor has no field winding",
                        "leave the key out"});
    return;
  }
  circuit.field_end_inductance = v.number("field_end_inductance");
  circuit.field_resistance = v.has("field_resistance")
                                 ? v.number("field_resistance")
                                 : field_winding_data(section, kase.machine, kase.materials).resistance;
  if (circuit.field_resistance <= 0)
    faults.push_back({v.has("field_resistance") ? v.place("field_resistance") : study.place,
                      study.path + ".field_resistance " +
                          (v.has("field_resistance") ? "is 0: a time constant needs a resistance"
                                                     : "is missing: this rotor's coil ends are not known"),
                      "state the resistance of the field winding at its temperature"});
}

/// Equal steps of the logarithm, both ends included.
std::vector<double> band(const Block& study, std::vector<Diagnostic>& faults) {
  const Values& v = study.values;
  const double low = v.number("lowest_frequency"), high = v.number("highest_frequency");
  if (!(high >= 10 * low)) {
    faults.push_back({v.place("highest_frequency"),
                      fmt::format("{}.highest_frequency = {:g} Hz is under ten times the lowest one, {:g} Hz",
                                  study.path, high, low),
                      "a fit needs a decade at least; 1 mHz to 1 kHz is usual"});
    return {};
  }
  const double decades = std::log10(high / low);
  const int steps = static_cast<int>(std::ceil(decades * v.integer("points_per_decade") - 1e-9));
  std::vector<double> omega;
  for (int k = 0; k <= steps; ++k) omega.push_back(2 * pi * low * std::pow(10, decades * k / steps));
  return omega;
}

void check_machine(const Section& section, const Block& study) {
  if (phase_count(section) < 2)
    throw InputError("a frequency-response study needs a stator winding of two phases or more",
                     "give the machine a [winding]", study.place);
  if (has_bars(section))
    throw InputError("a frequency-response study is of synchronous machines, and this rotor is a cage",
                     "take the study \"slip\"", study.place);
}

}  // namespace

std::vector<Parameter> response_parameters() {
  std::vector<Parameter> list = {
      {.name = "state",
       .form = Form::choice,
       .fallback = "initial",
       .choices = {"initial", "load", "both"},
       .sentence =
           "What the small changes are about: no field, that is initial permeability as in a test, the field of "
           "the stated currents, or both one after the other."}};
  for (Parameter& p : load_parameters())
    if (p.name == "phase_current" || p.name == "current_angle" || p.name == "field_current" ||
        p.name == "rotor_angle" || p.name == "positions") {
      if (p.name == "positions") p.fallback = "6";  // three alias the subtransient values by half a percent
      list.push_back(std::move(p));
    }
  list.push_back(frequency("lowest_frequency", "0.001 Hz", "Lowest frequency of the response."));
  list.push_back(frequency("highest_frequency", "1000 Hz",
                           "Highest frequency of the response; the mesh is adapted to the skin effect up to it."));
  list.push_back({.name = "points_per_decade",
                  .form = Form::integer,
                  .lower = 3,
                  .upper = 100,
                  .fallback = "10",
                  .sentence = "Frequencies in each decade, equally spaced over the logarithm."});
  list.push_back(resistance("field_resistance",
                            "Resistance of the field winding; that of its dimensions when it is not "
                            "given."));
  list.push_back({.name = "field_end_inductance",
                  .kind = Kind::inductance,
                  .unit = "H",
                  .lower = 0,
                  .upper = 1e4,
                  .fallback = "0 H",
                  .sentence = "Inductance of the field winding's ends, which no cross-section knows."});
  list.push_back(resistance("phase_resistance",
                            "Resistance of a phase, for the armature's time constant; the winding's own when it is not "
                            "given."));
  list.push_back(resistance("leakage_reactance",
                            "Stator leakage reactance X_l at rated frequency at which the circuits divide; of the "
                            "field's split when it is not given."));
  list.push_back(flag("solid_shaft", "true", "Whether currents flow in a meshed shaft whose material conducts."));
  list.push_back(flag("solid_wedges", "true",
                      "Whether currents flow in rotor wedges whose material conducts; their ends are then joined."));
  list.push_back(flag("solid_core", "false", "Whether poles and rotor core are solid and carry currents."));
  list.push_back({.name = "fit_tolerance",
                  .lower = 1e-5,
                  .upper = 1,
                  .fallback = "0.01",
                  .sentence =
                      "The circuit with the fewest rotor circuits is chosen whose deviation is below this; with L_f1d "
                      "where that halves it."});
  return list;
}

std::vector<ResponseRequest> read_response(const Case& kase, const Section& section, const Block& study) {
  check_machine(section, study);
  const Values& v = study.values;
  std::vector<Diagnostic> faults;
  ResponseRequest r;
  Block load = study;
  for (const Parameter& p : load_parameters())  // what the load needs beside: its defaults
    if (!load.values.has(p.name) && !p.optional) load.values.set(p.name, {0.0, study.place, false});
  r.load = read_load(kase, section, load);
  r.omega = band(study, faults);
  r.rated_omega = rated_omega(kase);
  r.enough = v.number("fit_tolerance");
  r.conductivity = conductivities(kase, section, study, faults);
  StandstillCircuit& c = r.circuit;
  c.phases = phase_count(section);
  c.sectors = section.sectors, c.sign = section.sign, c.length = section.length;
  read_field_winding(kase, section, study, c, faults);
  check_damper_rings(kase.machine, faults);
  if (!faults.empty()) throw InputError(faults);
  c.rings = damper_rings(section, kase.machine, kase.materials, kase.machine.general.values.number("temperature"));
  if (kase.machine.winding.present) {
    const WindingData winding = winding_data(section, kase.machine, kase.materials);
    c.end_winding = winding.end_inductance;
    r.phase_resistance = winding.resistance;
  }
  if (v.has("phase_resistance")) r.phase_resistance = v.number("phase_resistance");
  if (v.has("leakage_reactance")) r.leakage = v.number("leakage_reactance");
  std::vector<ResponseRequest> requests;
  if (v.text("state") != "load") requests.push_back(r);
  if (v.text("state") != "initial") {
    requests.push_back(r);
    requests.back().loaded = true;
  }
  return requests;
}

}  // namespace polepitch
