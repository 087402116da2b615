#include "cases/load.h"

#include <fmt/format.h>

#include <cmath>

#include "post/dq.h"

namespace polepitch {
namespace {

double degrees(double rad) {
  return rad * 180 / pi;
}

Parameter electrical_angle(const char* name, const char* fallback, const char* sentence) {
  return {.name = name,
          .kind = Kind::angle,
          .unit = "deg",
          .lower = -360,
          .upper = 360,
          .fallback = fallback,
          .sentence = sentence};
}

}  // namespace

std::vector<Parameter> load_parameters() {
  return {
      {.name = "phase_current",
       .kind = Kind::current,
       .unit = "A",
       .lower = 0,
       .upper = 1e6,
       .optional = true,
       .sentence = "Phase current, r.m.s.; rated current when it is not given."},
      electrical_angle("current_angle", "90 deg",
                       "Electrical angle by which the vector of the phase currents leads the rotor's d-axis; at 90 "
                       "degrees it lies on the q-axis and drives the rotor forward."),
      {.name = "field_current",
       .kind = Kind::current,
       .unit = "A",
       .lower = -1e5,
       .upper = 1e5,
       .fallback = "0 A",
       .sentence = "Direct current of the field winding."},
      {.name = "bar_current",
       .kind = Kind::current,
       .unit = "A",
       .lower = 0,
       .upper = 1e6,
       .fallback = "0 A",
       .sentence = "Amplitude of the sinusoidal distribution of currents in the bars of a cage."},
      electrical_angle("bar_angle", "0 deg", "Electrical angle by which the MMF of the bars leads the rotor's d-axis."),
      {.name = "phase_currents",
       .form = Form::quantity_list,
       .kind = Kind::current,
       .unit = "A",
       .lower = -1e6,
       .upper = 1e6,
       .optional = true,
       .sentence = "Instantaneous phase currents, one per phase, instead of phase_current and current_angle; they stay "
                   "as they are while the rotor turns."},
      {.name = "rotor_angle",
       .kind = Kind::angle,
       .unit = "deg",
       .lower = -360,
       .upper = 360,
       .fallback = "0 deg",
       .sentence = "Mechanical rotor angle of the first position, of the d-axis from the axis of phase A."},
      {.name = "positions",
       .form = Form::integer,
       .lower = 1,
       .upper = 720,
       .fallback = "18",
       .sentence = "Rotor positions over one ripple period whose mean is reported."},
  };
}

double phase_current(const Case& kase, const Block& study) {
  if (study.values.has("phase_current")) return std::sqrt(2.0) * study.values.number("phase_current");
  if (kase.machine.rating.present) return per_unit_base(kase.machine).current;
  throw InputError(study.path + ".phase_current is missing, and without a [rating] there is no rated current to take",
                   "state the phase current, r.m.s., or give the machine a [rating]", study.place);
}

Load read_load(const Case& kase, const Section& section, const Block& study) {
  const Values& v = study.values;
  Load load;
  if (phase_count(section) > 0 && !v.has("phase_currents")) load.current = phase_current(kase, study);
  load.current_angle = v.number("current_angle");
  load.field_current = v.number("field_current");
  load.bar_current = v.number("bar_current");
  load.bar_angle = v.number("bar_angle");
  load.rotor_angle = v.number("rotor_angle");
  load.positions = v.integer("positions");
  if (v.has("phase_currents")) {
    load.phase_currents = v.numbers("phase_currents");
    load.positions = 1;  // held currents have no mean over a turning rotor
  }
  std::vector<Diagnostic> faults;
  const auto refuse = [&](const char* key, const std::string& message, const std::string& hint) {
    faults.push_back({v.place(key), study.path + "." + key + " " + message, hint});
  };
  if (!load.phase_currents.empty() && static_cast<int>(load.phase_currents.size()) != phase_count(section))
    refuse("phase_currents",
           fmt::format("lists {} currents, but the winding has {} phases", load.phase_currents.size(),
                       phase_count(section)),
           "give one instantaneous current per phase");
  if (load.field_current != 0 && field_branch(section) < 0)
    refuse("field_current", "is given, but this rotor has no field winding", "leave the key out");
  if (load.bar_current != 0 && !has_bars(section))
    refuse("bar_current", "is given, but this rotor has no bars", "leave the key out");
  if (!faults.empty()) throw InputError(faults);
  return load;
}

bool has_bars(const Section& section) {
  for (const Branch& b : section.branches)
    if (b.kind == BranchKind::bar || b.kind == BranchKind::rotor_phase) return true;
  return false;
}

double ripple_period(const Section& section) {
  int bars = 0;
  for (const Branch& b : section.branches) bars += b.kind == BranchKind::bar && b.cage == 0;
  if (bars > 0) return 2 * pi / (bars * section.sectors);
  const int phases = std::max(1, phase_count(section));
  return pi / ((phases % 2 ? phases : 2 * phases) * section.pole_pairs);
}

Excitation excite(const Section& section, const Load& load, double rotor_angle) {
  // A cage's angles are fixed in space: what they are from the turned d-axis falls by the angle it has turned.
  const double turned = has_bars(section) ? section.pole_pairs * (rotor_angle - load.rotor_angle) : 0;
  Excitation e;
  if (!load.phase_currents.empty()) {
    e = phase_excitation(section, load.phase_currents, load.field_current, rotor_angle);
  } else {
    const double angle = load.current_angle - turned;
    const Dq current{load.current * std::cos(angle), load.current * std::sin(angle), 0};
    e = dq_excitation(section, current, load.field_current, rotor_angle);
  }
  if (has_bars(section)) set_bar_currents(e, section, load.bar_current, load.bar_angle - turned);
  return e;
}

std::vector<Excitation> mean_positions(const Section& section, const Load& load) {
  std::vector<Excitation> points;
  const double step = ripple_period(section) / load.positions;
  for (int k = 0; k < load.positions; ++k) points.push_back(excite(section, load, load.rotor_angle + k * step));
  return points;
}

std::vector<Excitation> adaption_states(const Section& section, const Load& load) {
  std::vector<Excitation> states;
  for (double share : {0.07, 0.38, 0.76})
    states.push_back(excite(section, load, load.rotor_angle + share * ripple_period(section)));
  return states;
}

std::vector<std::pair<std::string, std::string>> describe_load(const Section& section, const Load& load) {
  std::vector<std::pair<std::string, std::string>> at;
  if (!load.phase_currents.empty()) {
    std::string text;
    for (double i : load.phase_currents) text += fmt::format("{}{:.6g} A", text.empty() ? "" : ", ", i);
    at.emplace_back("phase_currents", text);
  } else if (phase_count(section) > 0) {
    at.emplace_back("phase_current", fmt::format("{:.6g} A", load.current / std::sqrt(2.0)));
    at.emplace_back("current_angle", fmt::format("{:.6g} deg", degrees(load.current_angle)));
  }
  if (field_branch(section) >= 0) at.emplace_back("field_current", fmt::format("{:.6g} A", load.field_current));
  if (has_bars(section)) {
    at.emplace_back("bar_current", fmt::format("{:.6g} A", load.bar_current));
    at.emplace_back("bar_angle", fmt::format("{:.6g} deg", degrees(load.bar_angle)));
  }
  at.emplace_back("rotor_angle", fmt::format("{:.6g} deg", degrees(load.rotor_angle)));
  return at;
}

}  // namespace polepitch
