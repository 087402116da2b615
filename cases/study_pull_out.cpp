// pull-out: a synchronous machine on its mains whose load torque is raised step by step until it falls out of step.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/pull_out.h"
#include "cases/skew.h"
#include "cases/stepped_cage.h"
#include "cases/stepped_synchronous.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;

struct Request {
  SteppedSynchronous machine;
  double inertia = 0, hold = 0, raise = 0;
  int raises = 0;
};

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = stepped_synchronous_parameters();
  list.push_back({.name = "inertia",
                  .kind = Kind::inertia,
                  .unit = "kg.m^2",
                  .lower = 1e-9,
                  .upper = 1e9,
                  .sentence = "Moment of inertia of everything that turns."});
  list.push_back({.name = "hold_time",
                  .kind = Kind::time,
                  .unit = "s",
                  .lower = 1e-3,
                  .upper = 1e3,
                  .fallback = "0.5 s",
                  .sentence = "Time for which each load torque is held; some swings of the rotor, so that they fade."});
  list.push_back(
      {.name = "torque_step",
       .lower = 1e-3,
       .upper = 2,
       .fallback = "0.1",
       .sentence = "Step by which the load torque is raised, over the pull-out torque of the field at rest."});
  list.push_back(
      {.name = "most_steps",
       .form = Form::integer,
       .lower = 1,
       .upper = 1000,
       .fallback = "20",
       .sentence = "Most steps of the load torque; the study ends there where the machine is still in step."});
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  Request r;
  r.machine = read_stepped_synchronous(kase, section, study);
  const Values& v = study.values;
  r.inertia = v.number("inertia");
  r.hold = v.number("hold_time");
  r.raise = v.number("torque_step");
  r.raises = v.integer("most_steps");
  return r;
}

/// δ in motoring convention: terminal voltage against the q-axis.
double load_angle(const StudyContext& context, const Request& r, const SteadyPoint& point, double time, double angle) {
  const double at_start = std::arg(point.voltage) - pi / 2;
  return at_start + r.machine.omega * time - context.section.pole_pairs * (angle - r.machine.rotor_angle);
}

struct Ramp {
  double first = 0, step = 0, hold = 0;  // N m against motoring, s
  double at(double time) const { return first + step * std::floor(time / hold * (1 + 1e-12)); }
};

std::vector<Episode> episodes_of(const StudyContext& context, const Request& r, const SteadyPoint& point,
                                 const Ramp& ramp) {
  std::vector<Episode> list;
  for (int k = 0; k <= r.raises; ++k) {
    Episode e;
    e.circuits = circuits_of(context, r.machine, point.field_current, terminal_source(context, r.machine, point));
    const double torque = ramp.first + k * ramp.step;
    e.motion = {r.inertia, [torque](double, double) { return torque; }};
    e.end = (k + 1) * r.hold;
    list.push_back(std::move(e));
  }
  return list;
}

struct Outcome {
  SteadyPoint point;
  PullOut at_rest;
  Ramp ramp;
  SteppingRecord record;
};

/// Time at which the load angle passed 180° for good.
double passed_half_a_turn(const ResultCurve& log) {
  const std::vector<double>&time = log.columns.front().values, &angle = log.columns.back().values;
  size_t i = time.size() - 1;
  while (i > 0 && std::abs(angle[i - 1]) > 180) --i;
  return time[i];
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const Outcome& o) {
  At at = describe_load_point(context.kase, r.machine.point);
  at.emplace_back("inertia", fmt::format("{:.6g} kg m2", r.inertia));
  Recorder out(result, context.name, at, 1);
  const double sense = r.machine.point.generator ? -1 : 1;
  const std::vector<double>& time = o.record.log.columns[0].values;
  const double at_rest = sense * o.at_rest.point.torque;
  out.add("pull_out_torque_at_rest", at_rest, "field at rest, Brent's search");
  if (o.record.stopped) {
    const double when = passed_half_a_turn(o.record.log), lost = o.ramp.at(when);
    out.add("torque_held", sense * (lost - o.ramp.step), "steps in time").key_result = true;
    out.add("torque_lost", sense * lost, "steps in time").key_result = true;
    out.add("torque_held_ratio", sense * (lost - o.ramp.step) / at_rest, "of the two").key_result = true;
    out.add("time_lost", when, "steps in time");
    constexpr double kFast = 1.05;
    if (std::abs(lost - o.ramp.step) > kFast * std::abs(at_rest))
      result.results.warnings.push_back(fmt::format(
          "{}: {:.3g} times the pull-out torque of the field at rest was held, since flux in the field winding fades "
          "with a time constant of its own, of tenths of seconds to seconds: a longer hold_time shows what is held for "
          "good",
          context.name, std::abs((lost - o.ramp.step) / at_rest)));
  } else {
    result.results.warnings.push_back(context.name +
                                      ": still in step at the last load torque; raise most_steps or torque_step");
    out.add("torque_held", sense * o.ramp.at(time.back() - 0.5 * r.hold), "steps in time").key_result = true;
  }
  out.add("i_field", o.point.field_current, "Newton on the field");
  out.add("energy_imbalance", relative_imbalance(o.record.totals), "over all steps");
  out.add("time_steps", o.record.steps, "counted").exact = true;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  const double sense = r.machine.point.generator ? -1 : 1;
  SteadyState state(context, options_for(context, r.machine.point));
  Outcome o;
  o.point = solve_load_point(state, r.machine.point, study);
  o.at_rest = pull_out(state, r.machine.point.voltage, o.point.field_current, sense);
  const SynchronousStart before = synchronous_start(context, r.machine, o.point);
  o.ramp = {o.point.torque, sense * r.raise * std::abs(o.at_rest.point.torque), r.hold};
  TransientField field = stepped_field(context, r.machine);
  const std::vector<Episode> episodes = episodes_of(context, r, o.point, o.ramp);
  field.connect(episodes.front().circuits);
  const TransientState start =
      field.start(before.field.a, loop_currents(episodes.front().circuits, before.excitation.currents),
                  r.machine.rotor_angle, r.machine.omega / context.section.pole_pairs);
  SteppingRules rules;
  rules.largest_step = r.machine.period() / r.machine.steps_per_period;
  rules.tolerance = r.machine.tolerance;
  rules.frames = frame_times(context, 0, r.hold);
  rules.stop = [&](const TransientState& s) {
    return std::abs(load_angle(context, r, o.point, s.time, s.angle)) > 1.5 * pi;
  };
  ResultCurve log = synchronous_log(context, "Currents, torque, load torque and load angle while the load is raised");
  log.columns.push_back({"load_torque", "N m", {}});
  log.columns.push_back({"load_angle", "deg", {}});
  Stepping stepping(
      context, field, std::move(log),
      [&](const TransientField& f, const TransientState& s) {
        std::vector<double> row = synchronous_row(context, sense, f, s);
        row[3] *= sense;
        row.push_back(sense * o.ramp.at(s.time));
        row.push_back(sense * load_angle(context, r, o.point, s.time, s.angle) / kDegree);
        return row;
      },
      rules);
  TransientState end;
  o.record = stepping.run(start, episodes, end);
  StudyResult result;
  report(result, context, r, o);
  result.results.curves.push_back(o.record.log);
  ResultCurve plane{context.name, "torque_angle", "Torque over the load angle while the load is raised", {}, false};
  plane.columns = {o.record.log.columns.back(), o.record.log.columns[3]};
  result.results.curves.push_back(plane);
  add_frames(result, context, field, o.record);
  warn_without_skew(context, result);
  return result;
}

}  // namespace

StudyType pull_out_study() {
  return {
      .name = "pull-out",
      .sentence =
          "A synchronous machine with field winding on its mains, stepped in time from a load point: its load torque "
          "is "
          "raised step by step until it falls out of step; the load angle over time, and the pull-out torque of the "
          "field at rest beside it.",
      .parameters = parameters(),
      .run = run,
      .check = [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
      .needs_rating = true,
      .states = load_point_states,
      .stepped = true};
}

}  // namespace polepitch
