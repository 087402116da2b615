#include "cases/cage_supply.h"

#include <algorithm>
#include <cmath>

#include "cases/load.h"
#include "post/cage_ends.h"
#include "post/dq.h"
#include "post/rotor_winding.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

double line_over_phase(const Case& kase) {
  return per_unit_base(kase.machine).star ? std::sqrt(3.0) : 1;
}

/// Resistances and coil ends of a wound rotor; of others nothing.
void read_rotor_winding(const Case& kase, const Section& section, const Block& study, CageSupply& s) {
  const Values& v = study.values;
  const bool outside = v.has("external_resistance");
  if (section.rotor_winding.sides.empty()) {
    if (outside)
      throw InputError(study.path + ".external_resistance is given, but this rotor has no slip rings",
                       "leave the key out, or take a rotor of type \"wound\"", v.place("external_resistance"));
    return;
  }
  const RotorWindingData data = rotor_winding_data(section, kase.machine, kase.materials);
  if (data.resistance <= 0)
    throw InputError("rotor.winding does not state its conductors, so the rotor's resistance is not known",
                     "give it wire_diameter, or conductor_width and conductor_height",
                     kase.machine.rotor_winding.place);
  s.rotor_resistance = data.resistance + (outside ? v.number("external_resistance") : 0);
  s.rotor_end_inductance = data.end_inductance;
}

}  // namespace

std::vector<Parameter> cage_supply_parameters() {
  return {{.name = "voltage",
           .kind = Kind::voltage,
           .unit = "V",
           .lower = 0.1,
           .upper = 1e6,
           .optional = true,
           .sentence = "Line-to-line terminal voltage of a machine with a cage, r.m.s.; rated when it is not given."},
          {.name = "external_resistance",
           .kind = Kind::resistance,
           .unit = "ohm",
           .lower = 0,
           .upper = 1e4,
           .optional = true,
           .sentence = "Resistance between the slip rings and their star point, a phase of a wound rotor; 0 when it is "
                       "not given."},
          {.name = "phase_resistance",
           .kind = Kind::resistance,
           .unit = "ohm",
           .lower = 0,
           .upper = 1e4,
           .optional = true,
           .sentence = "Resistance of a phase of a machine with a cage; the winding's own when it is not given."}};
}

Parameter frequency_parameter(const std::string& sentence) {
  return {.name = "frequency",
          .kind = Kind::frequency,
          .unit = "Hz",
          .lower = 1e-3,
          .upper = 1e5,
          .optional = true,
          .sentence = sentence};
}

double phase_peak(const Case& kase, double line_voltage) {
  return line_voltage * std::sqrt(2.0) / line_over_phase(kase);
}

double line_voltage(const Case& kase, double phase_peak) {
  return phase_peak * line_over_phase(kase) / std::sqrt(2.0);
}

void check_cage_machine(const Case& kase, const Section& section, const Block& study, const std::string& what) {
  if (phase_count(section) == 0)
    throw InputError(what + " needs a stator winding", "give the machine a [winding]", study.place);
  if (!has_bars(section))
    throw InputError(what + " asks for a rotor with a cage, and this one has no bars",
                     "take a rotor of type \"cage\", or another study", study.place);
  if (!kase.machine.rating.present)
    throw InputError(what + " needs the rated voltage and frequency", "give the machine a [rating]", study.place);
}

CageSupply read_cage_supply(const Case& kase, const Section& section, const Block& study) {
  const Values& v = study.values;
  const PerUnitBase base = per_unit_base(kase.machine);
  CageSupply s;
  s.omega = v.has("frequency") ? 2 * pi * v.number("frequency") : base.omega;
  s.voltage = v.has("voltage") ? phase_peak(kase, v.number("voltage")) : base.voltage;
  const WindingData winding = winding_data(section, kase.machine, kase.materials);
  s.resistance = v.has("phase_resistance") ? v.number("phase_resistance") : winding.resistance;
  s.end_inductance = winding.end_inductance;
  s.ends = cage_ends(section, kase.machine.rotor, kase.materials, kase.machine.general.values.number("temperature"));
  s.has_bars = has_bars(section) && section.rotor_winding.sides.empty();
  read_rotor_winding(kase, section, study, s);
  return s;
}

double rated_slip(const Case& kase, const Section& section) {
  const Values& rating = kase.machine.rating.values;
  if (!rating.has("speed")) return 0;
  return 1 - rating.number("speed") / (per_unit_base(kase.machine).omega / section.pole_pairs);
}

CageExcitation excitation_of(const CageSupply& s, double slip) {
  return {s.omega, slip, true, s.voltage, s.resistance, s.end_inductance, s.rotor_resistance, s.rotor_end_inductance};
}

void warn_of_supply(StudyResult& result, const std::string& study, const CageSupply& supply) {
  if (supply.has_bars && supply.ends.ring.resistance == 0)
    result.results.warnings.push_back(study +
                                      ": the end rings are taken without resistance: the rotor states no ring_height, "
                                      "ring_width and ring_mean_diameter, and no ring_segment_resistance");
  if (supply.resistance == 0)
    result.results.warnings.push_back(study +
                                      ": the phase resistance is taken as 0: the case states neither "
                                      "conductors nor phase_resistance");
}

std::vector<double> skin_limits(const Case& kase, const Section& section, double omega) {
  const double accuracy = kase.machine.mesh.values.number("accuracy");
  const double share = std::clamp(0.3 * std::pow(accuracy / 1e-3, 0.25), 0.3, 0.7);
  const double temperature = kase.machine.general.values.number("temperature");
  std::vector<double> largest;
  for (const Region& region : section.regions) {
    const Material& material = kase.materials.at(region.material);
    const bool conducts = region.role == Role::bar || is_solid_part(region);
    const double sigma = conducts ? material.conductivity_at(temperature) : 0;
    const double mu = material.b.empty() ? mu0 * material.mu_r : 0;  // a skin in saturated iron has no one depth
    largest.push_back(sigma > 0 && mu > 0 ? share * std::sqrt(2 / (std::abs(omega) * mu * sigma)) : 0);
  }
  return largest;
}

Excitation currents_at_start(const Section& section, const CageSolution& s) {
  Excitation e;
  e.currents.resize(section.branches.size());
  size_t bar = 0;
  for (size_t b = 0; b < section.branches.size(); ++b) {
    const Branch& branch = section.branches[b];
    if (branch.kind == BranchKind::phase)
      e.currents[b] = std::real(s.current * std::polar(1.0, -section.pole_pairs * branch.angle));
    if (branch.kind == BranchKind::rotor_phase)
      e.currents[b] = std::real(s.rotor_current * std::polar(1.0, -section.pole_pairs * branch.angle));
    if (branch.kind == BranchKind::bar && bar < s.bars.size()) e.currents[b] = s.bars[bar++].real();
  }
  return e;
}

std::vector<Excitation> cage_states(const Case& kase, const Section& section, const CageEnds& ends,
                                    const std::vector<CageExcitation>& points) {
  const Mesh mesh = mesh_section(section, {0.3});
  SolverOptions options;
  options.tolerance = 1e-5;
  CageField field(section, mesh, kase.materials, ends, options);
  std::vector<Excitation> states;
  CageSolution last;
  for (const CageExcitation& point : points) {
    last = field.solve(point, last.a.empty() ? nullptr : &last);
    for (double phase : {0.3, 1.3}) {
      CageSolution turned = last;  // another instant of both sides' currents
      turned.current *= std::polar(1.0, phase);
      turned.rotor_current *= std::polar(1.0, phase);
      for (Complex& bar : turned.bars) bar *= std::polar(1.0, phase);
      states.push_back(currents_at_start(section, turned));
      states.back().rotor_angle = 0;
    }
  }
  return states;
}

}  // namespace polepitch
