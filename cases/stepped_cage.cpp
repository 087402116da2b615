#include "cases/stepped_cage.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/load.h"
#include "cases/skew.h"
#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {

double SteppedCage::period() const {
  return 2 * pi / supply.omega;
}

double SteppedCage::rotor_resistance(double time) const {
  return rings_shorted > 0 && time > rings_shorted ? rotor.resistance - outside : rotor.resistance;
}

std::vector<Parameter> stepped_cage_parameters() {
  std::vector<Parameter> list = cage_supply_parameters();
  list.push_back(frequency_parameter("Frequency of the supply; the rated one when it is not given."));
  list.push_back({.name = "line_resistance",
                  .kind = Kind::resistance,
                  .unit = "ohm",
                  .lower = 0,
                  .upper = 1e4,
                  .fallback = "0 ohm",
                  .sentence = "Resistance of each line between supply and terminal."});
  list.push_back({.name = "line_inductance",
                  .kind = Kind::inductance,
                  .unit = "mH",
                  .lower = 0,
                  .upper = 1e6,
                  .fallback = "0 mH",
                  .sentence = "Inductance of each line between supply and terminal."});
  list.push_back({.name = "neutral",
                  .form = Form::choice,
                  .fallback = "isolated",
                  .choices = {"isolated", "connected"},
                  .sentence = "Whether a star's neutral is joined to the supply's."});
  list.push_back({.name = "steps_per_period",
                  .form = Form::integer,
                  .lower = 20,
                  .upper = 20000,
                  .fallback = "200",
                  .sentence = "Steps in time to a period of the supply; of adaptive steps the fewest."});
  return list;
}

SteppedCage read_stepped_cage(const Case& kase, const Section& section, const Block& study) {
  if (!has_bars(section) || phase_count(section) == 0)
    throw InputError(fmt::format("{}, a {} study, needs a stator winding and a rotor with a cage or slip rings",
                                 study.path, study.type),
                     "give the machine a [winding] and a [rotor] of type \"cage\" or \"wound\"", study.place);
  const Values& v = study.values;
  SteppedCage c;
  c.supply = read_cage_supply(kase, section, study);
  c.synchronous = c.supply.omega / section.pole_pairs;
  c.steps_per_period = v.integer("steps_per_period");
  c.wound = !section.rotor_winding.sides.empty();
  c.rotor = {c.supply.rotor_resistance, c.supply.rotor_end_inductance};
  c.outside = v.has("external_resistance") ? v.number("external_resistance") : 0;
  c.stator.resistance = c.supply.resistance;
  c.stator.inductance = c.supply.end_inductance;
  c.stator.line_resistance = v.number("line_resistance");
  c.stator.line_inductance = v.number("line_inductance");
  const bool star = per_unit_base(kase.machine).star, joined = v.text("neutral") == "connected";
  using Connection = StatorCircuit::Connection;
  c.stator.connection = !star ? Connection::delta : joined ? Connection::star_with_neutral : Connection::star;
  if (!star && joined)
    throw InputError(study.path + ".neutral is connected, but the rating's connection is a delta, which has none",
                     "leave neutral out, or rate the machine in star", v.place("neutral"));
  if (!star && phase_count(section) != 3)
    throw InputError(fmt::format("{}: a delta of {} phases cannot be stepped", study.path, phase_count(section)),
                     "rate the machine in star", study.place);
  return c;
}

std::function<std::vector<double>(double)> line_source(const Section& section, const SteppedCage& c, double phase) {
  const bool delta = c.stator.connection == StatorCircuit::Connection::delta;
  // A delta's winding has √3 times the lines' voltage, 30° ahead.
  return balanced_source(section, delta ? c.supply.voltage / std::sqrt(3.0) : c.supply.voltage, c.supply.omega,
                         delta ? phase - pi / 6 : phase);
}

TransientField stepped_field(const StudyContext& context, const SteppedCage& cage) {
  TransientOptions options;
  options.field.temperature = context.kase.machine.general.values.number("temperature");
  options.linkage_scale = cage.supply.voltage / cage.supply.omega;
  return {context.section, context.mesh, context.kase.materials, full_ring(context.section, cage.supply.ends), options};
}

ResultCurve stepped_log(const StudyContext& context, const std::string& title) {
  ResultCurve log{context.name, "time", title, {}, false};
  log.columns = {{"time", "s", {}}, {"rotor_angle", "deg", {}, false}, {"speed", "rpm", {}}, {"torque", "N m", {}}};
  for (const Branch& b : context.section.branches)
    if (b.kind == BranchKind::phase) log.columns.push_back({"i_" + b.name, "A", {}});
  log.columns.push_back({"P_sources", "W", {}, false});
  log.columns.push_back({"P_rotor", "W", {}, false});
  for (const Branch& b : context.section.branches)
    if (b.kind == BranchKind::rotor_phase) log.columns.push_back({"i_" + b.name, "A", {}, false});
  return log;
}

std::vector<double> stepped_row(const StudyContext& context, const SteppedCage& cage, const TransientField& field,
                                const TransientState& state) {
  std::vector<double> row = {state.time, state.angle * 180 / pi, state.speed * 30 / pi, state.torque};
  const std::vector<double> currents = field.branch_currents(state);
  for (size_t b = 0; b < currents.size(); ++b)
    if (context.section.branches[b].kind == BranchKind::phase) row.push_back(currents[b]);
  std::vector<double> rotor;
  double copper = 0;
  for (size_t b = 0; b < currents.size(); ++b)
    if (context.section.branches[b].kind == BranchKind::rotor_phase) {
      rotor.push_back(currents[b]);
      copper += cage.rotor_resistance(state.time) * currents[b] * currents[b];
    }
  row.push_back(state.power.source);
  row.push_back(state.power.eddy + state.power.ring + copper);
  row.insert(row.end(), rotor.begin(), rotor.end());
  return row;
}

std::vector<double> frame_times(const StudyContext& context, double begin, double end) {
  const int wanted = context.kase.output.values.integer("field_angles");
  std::vector<double> times;
  for (int k = 0; k < wanted; ++k) times.push_back(begin + (end - begin) * k / wanted);
  return times;
}

void add_frames(StudyResult& result, const StudyContext& context, const TransientField& field,
                const SteppingRecord& record) {
  for (const SteppingFrame& f : record.frames) {
    Excitation e;
    e.currents = f.currents;
    e.rotor_angle = f.angle;
    result.frames.push_back(
        {context.name, e, field.picture(f.a, f.angle), static_cast<double>(result.frames.size()), f.time, f.torque});
  }
  result.frame_axis = {"time", "s", "time", "torque", "field over time"};
}

void warn_stepped(StudyResult& result, const StudyContext& context, const SteppedCage& cage) {
  warn_of_supply(result, context.name, cage.supply);
  warn_without_skew(context, result);
}

std::vector<Excitation> stepped_states(const Case& kase, const Section& section, const Block& study) {
  const CageSupply supply = read_stepped_cage(kase, section, study).supply;
  const double rated = rated_slip(kase, section);
  return cage_states(kase, section, supply.ends,
                     {excitation_of(supply, 1), excitation_of(supply, rated != 0 ? rated : 0.03)});
}

double relative_imbalance(const SteppingTotals& t) {
  const double sum = std::abs(t.source) + std::abs(t.copper) + std::abs(t.eddy) + std::abs(t.ring) +
                     std::abs(t.stored) + std::abs(t.shaft);
  return sum > 0 ? t.imbalance() / sum : 0;
}

}  // namespace polepitch
