// torque-speed: a magnet or reluctance motor between limits of current and voltage, on a flux map solved for it: most
// torque per ampere, torque and power over speed, efficiency with copper and iron loss.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/cage_torque_speed.h"
#include "cases/field_map.h"
#include "cases/load.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/torque_speed.h"
#include "cases/torque_speed_results.h"
#include "post/dq.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

Parameter quantity_of(const char* name, Kind kind, const char* unit, double lower, double upper, const char* sentence) {
  return {
      .name = name, .kind = kind, .unit = unit, .lower = lower, .upper = upper, .optional = true, .sentence = sentence};
}

Parameter count_of(const char* name, double lower, double upper, const char* fallback, const char* sentence) {
  return {
      .name = name, .form = Form::integer, .lower = lower, .upper = upper, .fallback = fallback, .sentence = sentence};
}

std::vector<Parameter> parameters() {
  return {
      quantity_of("voltage", Kind::voltage, "V", 0.1, 1e6,
                  "Largest line-to-line terminal voltage, r.m.s. of the fundamental; rated when it is not given."),
      quantity_of("largest_current", Kind::current, "A", 1e-6, 1e6,
                  "Largest phase current, r.m.s.; rated when it is not given."),
      quantity_of("phase_resistance", Kind::resistance, "ohm", 0, 1e4,
                  "Resistance of a phase; the winding's direct-current resistance when it is not given."),
      quantity_of("largest_speed", Kind::speed, "rpm", 1e-3, 1e6,
                  "Speed up to which the curves go; three times the rated one when it is not given."),
      count_of("speeds", 5, 401, "61", "Speeds of the curves and of the efficiency map, from standstill on."),
      count_of("torques", 4, 101, "16", "Torques at each speed from which the efficiency map is made."),
      count_of("lines", 4, 65, "7", "Values of i_d and of i_q that the flux map begins with."),
      count_of("positions", 1, 180, "12", "Rotor positions over one ripple period whose means the flux map holds."),
      {.name = "accuracy",
       .lower = 1e-5,
       .upper = 1,
       .fallback = "0.001",
       .sentence = "Largest difference between flux map and field off the map's points, over its largest linkage and "
                   "torque; lines are added until ten points keep to it."},
      {.name = "iron_loss",
       .form = Form::flag,
       .fallback = "true",
       .sentence = "Whether iron loss counts; the materials of the cores then have to state its coefficients."},
      count_of("loss_lines", 3, 33, "5", "Values of i_d and of i_q of the iron loss' own map."),
      count_of("loss_positions", 6, 720, "36", "Rotor positions of a pole pitch from which iron loss is found.")};
}

void check_machine(const Case& kase, const Section& section, const Block& study) {
  check_map_machine(section, study, "a torque-speed study");
  if (field_branch(section) >= 0)
    throw InputError("a torque-speed study does not fit a rotor with field winding, whose current is free",
                     "take a rotor with magnets or barriers; flux-map serves wound rotors", study.place);
  if (!kase.machine.rating.present)
    throw InputError("a torque-speed study needs the rated voltage, current and frequency",
                     "give the machine a [rating]", study.place);
  if (study.values.flag("iron_loss")) check_iron_loss(kase, section, study);
}

TorqueSpeedRequest read(const Case& kase, const Section& section, const Block& study) {
  check_machine(kase, section, study);
  const Values& v = study.values;
  const PerUnitBase base = per_unit_base(kase.machine);
  TorqueSpeedRequest r;
  r.magnets = has_magnets(section);
  r.limits.current = phase_current_limit(study, base.current);
  r.limits.voltage =
      v.has("voltage") ? v.number("voltage") * std::sqrt(2.0) / (base.star ? std::sqrt(3.0) : 1) : base.voltage;
  if (v.has("phase_resistance"))
    r.limits.resistance = v.number("phase_resistance");
  else if (kase.machine.winding.present)
    r.limits.resistance = winding_data(section, kase.machine, kase.materials).resistance;
  r.rated_omega = base.omega;
  r.largest_speed = v.has("largest_speed") ? v.number("largest_speed") : 3 * base.omega / section.pole_pairs;
  r.speeds = v.integer("speeds");
  r.torques = v.integer("torques");
  return r;
}

MapRequest map_request(const TorqueSpeedRequest& r, const Block& study) {
  const int lines = study.values.integer("lines");
  MapRequest map;
  map.grid.i_d = r.magnets ? equal_lines(-r.limits.current, 0, lines) : equal_lines(0, r.limits.current, lines);
  map.grid.i_q = equal_lines(0, r.limits.current, lines);
  map.grid.i_f = {0};
  map.positions = study.values.integer("positions");
  map.accuracy = study.values.number("accuracy");
  return map;
}

IronLossMap iron_loss_map(StudyContext& context, const TorqueSpeedRequest& r, const MapRequest& map,
                          const Block& study) {
  if (!study.values.flag("iron_loss")) return {};
  const int lines = study.values.integer("loss_lines");
  const std::vector<double>&d = map.grid.i_d, &q = map.grid.i_q;
  return solve_iron_loss_map(context, equal_lines(d.front(), d.back(), lines), equal_lines(q.front(), q.back(), lines),
                             0, study.values.integer("loss_positions"), r.rated_omega / (2 * pi), 0.6, 0.95);
}

StudyResult run(StudyContext& context, const Block& study) {
  if (has_bars(context.section)) return cage_torque_speed(context, study);
  const TorqueSpeedRequest request = read(context.kase, context.section, study);
  const MapRequest grid = map_request(request, study);
  const FieldMap field = refined_flux_map(context, grid, 0.6);
  const IronLossMap iron = iron_loss_map(context, request, grid, study);
  const FluxMapSurface surface(field.map);
  const Drive drive(surface, iron, request);
  StudyResult result;
  report_torque_speed({context, request, surface, drive, field, iron, grid}, result);
  context.progress(1);
  return result;
}

/// Rated current at three angles of its sector and at unequal rotor angles.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  if (has_bars(section)) return cage_torque_speed_states(kase, section, study);
  const TorqueSpeedRequest r = read(kase, section, study);
  std::vector<Excitation> states;
  const double first = r.magnets ? 0.5 * pi : 0;
  for (const auto& [share, angle] : {std::pair{0.3, 0.07}, {0.55, 0.38}, {0.85, 0.76}}) {
    const double beta = first + share * 0.5 * pi;
    states.push_back(dq_excitation(section, {r.limits.current * std::cos(beta), r.limits.current * std::sin(beta), 0},
                                   0, angle * ripple_period(section)));
  }
  return states;
}

std::vector<Parameter> all_parameters() {
  std::vector<Parameter> list = parameters();
  for (const Parameter& p : cage_torque_speed_parameters()) list.push_back(p);
  return list;
}

void check(const Case& kase, const Section& section, const Block& study) {
  if (has_bars(section)) {
    check_cage_torque_speed(kase, section, study);
    return;
  }
  for (const char* key : {"frequencies", "boost", "slip_points"})
    if (study.values.has(key) && study.values.given(key))
      throw InputError(study.path + "." + key + " fits a rotor with a cage alone", "leave the key out",
                       study.values.place(key));
  read(kase, section, study);
}

}  // namespace

StudyType torque_speed_study() {
  return {
      "torque-speed",
      "Magnet and reluctance motors between limits of current and voltage: most torque per ampere, torque and power "
      "over speed with field weakening, and the efficiency map with copper and iron loss. Machines with a cage: torque "
      "over speed at several frequencies of a supply whose voltage rises with the frequency.",
      all_parameters(),
      run,
      check,
      true,
      states,
      {},
      false,
      [](const Case& kase, const Section& section, const Block& study) {
        return has_bars(section) ? cage_torque_speed_edges(kase, section, study) : std::vector<double>();
      }};
}

}  // namespace polepitch
