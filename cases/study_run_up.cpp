// run-up: an induction motor switched on at standstill, its speed found from torque, load and inertia; switches on the
// way.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/stepped_cage.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {
namespace {

struct Request {
  SteppedCage cage;
  double inertia = 0, end = 0, closing = 0;
  double bypass = 0, opening = 0, reclosing = 0;  // s; 0: never
  double tolerance = 0;
  std::function<double(double, double)> load;
};

Parameter time_parameter(const char* name, const char* fallback, const char* sentence) {
  return {.name = name,
          .kind = Kind::time,
          .unit = "s",
          .lower = 0,
          .upper = 1e4,
          .fallback = fallback,
          .sentence = sentence};
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = stepped_cage_parameters();
  list.push_back({.name = "inertia",
                  .kind = Kind::inertia,
                  .unit = "kg.m^2",
                  .lower = 1e-9,
                  .upper = 1e9,
                  .sentence = "Moment of inertia of everything that turns."});
  list.push_back({.name = "load_torque",
                  .kind = Kind::torque,
                  .unit = "N m",
                  .lower = 0,
                  .upper = 1e9,
                  .fallback = "0 N m",
                  .sentence = "Torque of the load at synchronous speed."});
  list.push_back({.name = "load_law",
                  .form = Form::choice,
                  .fallback = "square",
                  .choices = {"constant", "linear", "square"},
                  .sentence = "How the load's torque goes with speed; a constant one fades below 1 % of synchronous "
                              "speed, so that it does not drive."});
  list.push_back({.name = "closing_angle",
                  .kind = Kind::angle,
                  .unit = "deg",
                  .lower = -360,
                  .upper = 360,
                  .fallback = "0 deg",
                  .sentence = "Phase of phase A's voltage when the switch closes: 0 at its peak."});
  list.push_back(time_parameter("duration", "1 s", "Time that is stepped through from switching on."));
  list.push_back(time_parameter("bypass_time", "0 s",
                                "Time after which a switch bypasses the lines' resistance and inductance; 0: never."));
  list.push_back(time_parameter("ring_bypass_time", "0 s",
                                "Time after which a switch bypasses the resistance between the slip rings; 0: never."));
  list.push_back(time_parameter("opening_time", "0 s",
                                "Time after which the supply's switch opens, each line at its current's next zero; 0: "
                                "never."));
  list.push_back(time_parameter("reclosing_time", "0 s",
                                "Time at which the supply's switch closes again, whatever the voltages; 0: never."));
  list.push_back({.name = "step_tolerance",
                  .lower = 1e-8,
                  .upper = 1e-2,
                  .fallback = "5e-4",
                  .sentence = "Error of a step: of linkages over the rated one, and of eddy fields alike."});
  for (Parameter& p : list)
    if (p.name == "steps_per_period") p.fallback = "40";
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  Request r;
  r.cage = read_stepped_cage(kase, section, study);
  const Values& v = study.values;
  r.inertia = v.number("inertia");
  r.end = v.number("duration");
  r.closing = v.number("closing_angle");
  r.bypass = v.number("bypass_time");
  r.cage.rings_shorted = v.number("ring_bypass_time");
  r.opening = v.number("opening_time");
  r.reclosing = v.number("reclosing_time");
  if (r.cage.rings_shorted > 0 && r.cage.outside == 0)
    throw InputError(study.path + ".ring_bypass_time is given, but there is no resistance between the slip rings",
                     "state external_resistance, of a rotor of type \"wound\", or leave ring_bypass_time out",
                     v.place("ring_bypass_time"));
  if (r.reclosing > 0 && (r.opening <= 0 || r.reclosing <= r.opening))
    throw InputError(r.opening <= 0 ? study.path + ".reclosing_time is given, but the switch never opens"
                                    : fmt::format("{}.reclosing_time = {:.4g} s is not after opening_time = {:.4g} s",
                                                  study.path, r.reclosing, r.opening),
                     "state opening_time, and a later reclosing_time", v.place("reclosing_time"));
  r.tolerance = v.number("step_tolerance");
  if (r.end < 2 * r.cage.period())
    throw InputError(fmt::format("{}.duration = {:.4g} s is under two periods of the supply, {:.4g} s", study.path,
                                 r.end, 2 * r.cage.period()),
                     "a run-up takes tenths of a second or more", v.place("duration"));
  const double torque = v.number("load_torque"), rated = r.cage.synchronous;
  const std::string law = v.text("load_law");
  r.load = [=](double, double speed) {
    const double share = speed / rated;
    if (law == "constant") return torque * std::tanh(share / 0.01);
    return law == "linear" ? torque * share : torque * share * std::abs(share);
  };
  return r;
}

/// From one switching to the next.
std::vector<Episode> episodes_of(const StudyContext& context, const Request& r) {
  std::vector<double> ends = {r.end};
  for (double time : {r.bypass, r.cage.rings_shorted, r.opening, r.reclosing})
    if (time > 0 && time < r.end) ends.push_back(time);
  std::sort(ends.begin(), ends.end());
  ends.erase(std::unique(ends.begin(), ends.end()), ends.end());
  const auto passed = [](double time, double begin) { return time > 0 && begin >= time; };
  std::vector<Episode> list;
  double begin = 0;
  for (double end : ends) {
    StatorCircuit stator = r.cage.stator;
    stator.source = line_source(context.section, r.cage, r.closing);
    if (passed(r.bypass, begin)) stator.line_resistance = stator.line_inductance = 0;
    RotorCircuit rotor = r.cage.rotor;
    if (passed(r.cage.rings_shorted, begin)) rotor.resistance -= r.cage.outside;
    Episode e;
    e.circuits = machine_circuits(context.section, stator, {}, rotor);
    e.motion = {r.inertia, r.load};
    e.end = end;
    if (passed(r.opening, begin) && !passed(r.reclosing, begin))
      e.opening = [&context, stator, rotor](const std::vector<bool>& closed) {
        StatorCircuit parted = stator;
        parted.closed = closed;
        return machine_circuits(context.section, parted, {}, rotor);
      };
    list.push_back(std::move(e));
    begin = end;
  }
  return list;
}

/// By the trapezoidal rule.
double integral(const std::vector<double>& t, const std::vector<double>& x) {
  double sum = 0;
  for (size_t i = 1; i < t.size(); ++i) sum += 0.5 * (x[i] + x[i - 1]) * (t[i] - t[i - 1]);
  return sum;
}

/// Mean of a column over the last `span` seconds, by the trapezoidal rule.
double last_mean(const ResultCurve& log, size_t column, double span) {
  const std::vector<double>&t = log.columns[0].values, &x = log.columns[column].values;
  double sum = 0, length = 0;
  for (size_t i = t.size() - 1; i > 0 && length < span; --i) {
    sum += 0.5 * (x[i] + x[i - 1]) * (t[i] - t[i - 1]);
    length += t[i] - t[i - 1];
  }
  return length > 0 ? sum / length : x.back();
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const SteppingRecord& record) {
  Recorder out(result, context.name,
               {{"voltage", fmt::format("{:.6g} V a phase", r.cage.supply.voltage / std::sqrt(2.0))},
                {"inertia", fmt::format("{:.6g} kg m2", r.inertia)}},
               1);
  const std::vector<double>&time = record.log.columns[0].values, &speed = record.log.columns[2].values,
        &torque = record.log.columns[3].values;
  const double last = last_mean(record.log, 2, r.cage.period());
  size_t reached = speed.size() - 1;
  while (reached > 0 && std::abs(speed[reached] - last) <= 0.02 * std::abs(last)) --reached;
  const std::string how = "steps in time";
  out.add("speed_settling_time", time[std::min(reached + 1, time.size() - 1)], how).key_result = true;
  out.add("n_end", last, how).key_result = true;
  double peak = 0;
  for (size_t k = 0; k < static_cast<size_t>(phase_count(context.section)); ++k)
    for (double i : record.log.columns[4 + k].values) peak = std::max(peak, std::abs(i));
  out.add("I_peak", peak, how).key_result = true;
  out.add("torque_peak", *std::max_element(torque.begin(), torque.end()), how).key_result = true;
  out.add("torque_trough", *std::min_element(torque.begin(), torque.end()), how);
  const SteppingTotals& t = record.totals;
  const double kinetic = 0.5 * r.inertia * std::pow(last * pi / 30, 2);
  // A wound rotor's heat is in the loops' resistances together with the stator's.
  const size_t loss = 5 + static_cast<size_t>(phase_count(context.section));
  const double wound = r.cage.wound ? integral(time, record.log.columns[loss].values) : 0;
  const double rotor = r.cage.wound ? wound : t.eddy + t.ring;
  out.add("heat_rotor", rotor, how).key_result = true;
  out.add("heat_stator", t.copper - wound, how);
  if (kinetic > 0) out.add("heat_ratio", rotor / kinetic, how);
  out.add("energy_imbalance", relative_imbalance(t), "over all steps");
  out.add("time_steps", record.steps, "counted").exact = true;
  out.add("steps_refused", record.refused, "counted").exact = true;
  if (std::abs(last - last_mean(record.log, 2, 5 * r.cage.period())) > 0.01 * std::abs(last))
    result.results.warnings.push_back(context.name +
                                      ": the speed still changes at the end; a longer duration shows more");
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  TransientField field = stepped_field(context, r.cage);
  const std::vector<Episode> episodes = episodes_of(context, r);
  field.connect(episodes.front().circuits);
  const std::vector<double> rest(static_cast<size_t>(episodes.front().circuits.turns.cols()), 0.0);
  const TransientState start = field.start(std::vector<double>(context.mesh.nodes.size()), rest, 0, 0);
  SteppingRules rules;
  rules.largest_step = r.cage.period() / r.cage.steps_per_period;
  rules.tolerance = r.tolerance;
  rules.frames = frame_times(context, 0.25 * r.cage.period(), r.end);
  Stepping stepping(
      context, field, stepped_log(context, "Speed, torque and currents from switching on"),
      [&](const TransientField& f, const TransientState& s) { return stepped_row(context, r.cage, f, s); }, rules);
  TransientState end;
  const SteppingRecord record = stepping.run(start, episodes, end);
  StudyResult result;
  report(result, context, r, record);
  result.results.curves.push_back(record.log);
  ResultCurve plane{context.name, "torque_speed", "Torque over speed while the motor runs up", {}, false};
  plane.columns = {record.log.columns[2], record.log.columns[3]};
  result.results.curves.push_back(plane);
  add_frames(result, context, field, record);
  warn_stepped(result, context, r.cage);
  return result;
}

}  // namespace

StudyType run_up_study() {
  return {.name = "run-up",
          .sentence =
              "An induction motor switched on at standstill: speed, torque and currents from the field stepped in "
              "time, with "
              "the inertia and torque of its load; switches that bypass resistance, open and close again.",
          .parameters = parameters(),
          .run = run,
          .check = [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
          .needs_rating = true,
          .states = stepped_states,
          .stepped = true};
}

}  // namespace polepitch
