// sudden-short-circuit: all phases of a synchronous machine shorted at rated speed, from no load or from load; the
// reactances and time constants that IEC 60034-4-1 reads from the oscillogram.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "cases/skew.h"
#include "cases/stepped_cage.h"
#include "cases/stepped_synchronous.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "post/oscillogram.h"

namespace polepitch {
namespace {

const double kRms = 1 / std::sqrt(2.0);

struct Request {
  SteppedSynchronous machine;
  bool loaded = false;
  double duration = 0;
};

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = stepped_synchronous_parameters();
  list.push_back({.name = "from",
                  .form = Form::choice,
                  .fallback = "no-load",
                  .choices = {"no-load", "load"},
                  .sentence =
                      "State before the short circuit: excited to the voltage without load, from which constants "
                      "are read, or the load point."});
  list.push_back({.name = "duration",
                  .kind = Kind::time,
                  .unit = "s",
                  .lower = 1e-4,
                  .upper = 1e3,
                  .fallback = "0.3 s",
                  .sentence = "Time that is stepped through from the short circuit on."});
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  Request r;
  r.machine = read_stepped_synchronous(kase, section, study);
  r.loaded = study.values.text("from") == "load";
  r.duration = study.values.number("duration");
  if (r.duration < 5 * r.machine.period())
    throw InputError(fmt::format("{}.duration = {:.4g} s is under five periods, {:.4g} s", study.path, r.duration,
                                 5 * r.machine.period()),
                     "the constants are read from some ten periods or more", study.values.place("duration"));
  return r;
}

struct Steady {
  SteadyPoint before, sustained;
};

Steady steady_of(SteadyState& state, const Request& r, const Block& study) {
  Steady s;
  if (r.loaded) {
    s.before = solve_load_point(state, r.machine.point, study);
  } else {
    Terminal open{.given = Terminal::Given::powers, .voltage = r.machine.point.voltage};
    s.before = state.solve(open);
  }
  Terminal shorted{.given = Terminal::Given::load_angle, .voltage = 0};
  shorted.field_current = s.before.field_current;
  s.sustained = state.solve(shorted);
  return s;
}

void report_constants(StudyResult& result, const StudyContext& context, const Request& r, const Steady& steady,
                      const SteppingRecord& record, const At& at) {
  Oscillogram o;
  const ResultCurve& log = record.log;
  o.time = log.columns[0].values;
  o.axes = phase_axes(context.section);
  for (size_t k = 0; k < o.axes.size(); ++k) o.phases.push_back(log.columns[4 + k].values);
  o.omega = r.machine.omega;
  o.rotor_angle = context.section.pole_pairs * r.machine.rotor_angle;
  o.voltage = std::abs(steady.before.voltage);
  o.sustained = std::abs(steady.sustained.current);
  OscillogramConstants c;
  try {
    c = read_oscillogram(o);
  } catch (const std::invalid_argument& fault) {
    result.results.warnings.push_back(context.name + ": no constants are read, since " + fault.what());
    return;
  }
  Recorder out(result, context.name, at, 1);
  const std::string how = "oscillogram, IEC 60034-4-1";
  const double base = per_unit_base(context.kase.machine).impedance;
  out.add_reactance("X_d_transient", {c.x_d_transient}, base, how).key_result = true;
  out.add("T_d_transient", c.t_d_transient, how).key_result = true;
  out.add_reactance("X_d_subtransient", {c.x_d_subtransient}, base, how).key_result = true;
  out.add("T_d_subtransient", c.t_d_subtransient, how).key_result = true;
  out.add("oscillogram_deviation", c.deviation, "root of the mean square over the record");
  out.add("T_a", c.t_a, how).key_result = true;
  for (Construction* construction : {&c.alternating, &c.direct_component}) {
    construction->study = context.name;
    result.results.constructions.push_back(std::move(*construction));
  }
  if (r.duration < 2 * c.t_d_transient)
    result.results.warnings.push_back(
        fmt::format("{}: the record, {:.3g} s, is under twice the transient time constant it shows, {:.3g} s: a longer "
                    "duration tells it better",
                    context.name, r.duration, c.t_d_transient));
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const Steady& steady,
            const SteppingRecord& record) {
  const At at = {{"from", r.loaded ? "load" : "no-load"},
                 {"voltage", fmt::format("{:.6g} V a phase", kRms * std::abs(steady.before.voltage))}};
  Recorder out(result, context.name, at, 1);
  double peak = 0, field_peak = 0;
  const size_t phases = static_cast<size_t>(phase_count(context.section));
  for (size_t k = 0; k < phases; ++k)
    for (double i : record.log.columns[4 + k].values) peak = std::max(peak, std::abs(i));
  for (double i : record.log.columns[4 + phases].values) field_peak = std::max(field_peak, std::abs(i));
  const std::vector<double>& torque = record.log.columns[3].values;
  out.add("I_peak", peak, "steps in time").key_result = true;
  out.add("torque_peak", *std::max_element(torque.begin(), torque.end()), "steps in time");
  out.add("torque_trough", *std::min_element(torque.begin(), torque.end()), "steps in time");
  out.add("i_field", steady.before.field_current, "Newton on the field");
  out.add("i_field_peak", field_peak, "steps in time");
  out.add("I_sustained", kRms * std::abs(steady.sustained.current), "field at rest, sustained short circuit");
  if (!r.loaded) report_constants(result, context, r, steady, record, at);
  out.add("energy_imbalance", relative_imbalance(record.totals), "over all steps");
  out.add("time_steps", record.steps, "counted").exact = true;
  out.add("steps_refused", record.refused, "counted").exact = true;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  SteadyState state(context, options_for(context, r.machine.point));
  const Steady steady = steady_of(state, r, study);
  const SynchronousStart before = synchronous_start(context, r.machine, steady.before);
  TransientField field = stepped_field(context, r.machine);
  Episode shorted;
  shorted.circuits = circuits_of(context, r.machine, steady.before.field_current, {});
  shorted.end = r.duration;
  field.connect(shorted.circuits);
  const TransientState start = field.start(before.field.a, loop_currents(shorted.circuits, before.excitation.currents),
                                           r.machine.rotor_angle, r.machine.omega / context.section.pole_pairs);
  SteppingRules rules;
  rules.largest_step = r.machine.period() / r.machine.steps_per_period;
  rules.tolerance = r.machine.tolerance;
  rules.frames = frame_times(context, 0, 2 * r.machine.period());
  Stepping stepping(
      context, field, synchronous_log(context, "Currents out of the terminals and torque from the short circuit on"),
      [&](const TransientField& f, const TransientState& s) { return synchronous_row(context, -1, f, s); }, rules);
  TransientState end;
  const SteppingRecord record = stepping.run(start, {shorted}, end);
  StudyResult result;
  report(result, context, r, steady, record);
  result.results.curves.push_back(record.log);
  ResultCurve exciter{context.name, "field_current", "Field current from the short circuit on", {}, false};
  Column current = record.log.columns[4 + static_cast<size_t>(phase_count(context.section))];
  current.drawn = true;
  exciter.columns = {record.log.columns[0], current};
  result.results.curves.push_back(exciter);
  add_frames(result, context, field, record);
  warn_without_skew(context, result);
  return result;
}

}  // namespace

StudyType sudden_short_circuit_study() {
  return {
      .name = "sudden-short-circuit",
      .sentence =
          "All phases of a synchronous machine with field winding shorted at rated speed, stepped in time: currents, "
          "torque, and from no load X'_d, X''_d, T'_d, T''_d and T_a as IEC 60034-4-1 reads them from the oscillogram.",
      .parameters = parameters(),
      .run = run,
      .check = [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
      .needs_rating = true,
      .states = load_point_states,
      .stepped = true};
}

}  // namespace polepitch
