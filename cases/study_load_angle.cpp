// load-angle: torque and power against the load angle at the terminal voltage and field current of a load point; the
// pull-out torque both ways; the two-reactance curve beside it; and the swing after a load beyond pull-out.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "cases/load_angle_curve.h"
#include "cases/load_point.h"
#include "cases/pull_out.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/mmf.h"
#include "post/swing.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;
const double kRms = 1 / std::sqrt(2.0);

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = load_point_parameters();
  list.push_back({.name = "angles",
                  .form = Form::integer,
                  .lower = 8,
                  .upper = 720,
                  .fallback = "24",
                  .sentence = "Load angles over a whole turn, each solved on the field."});
  list.push_back({.name = "inertia",
                  .kind = Kind::inertia,
                  .unit = "kg.m^2",
                  .lower = 1e-9,
                  .upper = 1e9,
                  .optional = true,
                  .sentence = "Moment of inertia of everything that turns, for the swing."});
  list.push_back({.name = "inertia_constant",
                  .kind = Kind::time,
                  .unit = "s",
                  .lower = 1e-3,
                  .upper = 100,
                  .fallback = "1 s",
                  .sentence = "Energy at synchronous speed over rated apparent power, where no inertia is given."});
  list.push_back({.name = "load_step",
                  .lower = 0.5,
                  .upper = 3,
                  .fallback = "1.05",
                  .sentence = "Shaft torque of the swing over the pull-out torque, put on at once at the load point."});
  return list;
}

struct Solved {
  SteadyPoint load;
  TwoReactances two;
  std::optional<TwoReactances> unsaturated;
  std::vector<SteadyPoint> points;
  PullOut motor, generator;
  std::vector<FieldFrame> frames;  // of the first position, as many as the case wants
};

void solve_points(StudyContext& context, SteadyState& state, double voltage, int count, Solved& s) {
  const std::vector<bool> keep = chosen_frames(context, static_cast<size_t>(count));
  s.points = load_angle_points(state, s.load, voltage, count, [&](int k, const SteadyPoint& point) {
    if (!keep[static_cast<size_t>(k)]) return;
    s.frames.push_back({context.name, state.excitation(point, 0), state.field(0), 0, -180 + 360.0 * k / count});
  });
  std::sort(s.frames.begin(), s.frames.end(), [](const auto& a, const auto& b) { return *a.at < *b.at; });
  for (size_t i = 0; i < s.frames.size(); ++i) s.frames[i].time = static_cast<double>(i);
}

Solved solve(StudyContext& context, SteadyState& state, const LoadPointRequest& request, const Block& study) {
  Solved s;
  s.load = solve_load_point(state, request, study);
  context.progress(0.2);
  s.two = two_reactances(state, s.load, state.frozen(), context.section.pole_pairs);
  s.unsaturated = unsaturated_reactances(state, s.load, context.section);
  solve_points(context, state, request.voltage, study.values.integer("angles"), s);
  context.progress(0.7);
  // On the side of the sense: a machine of saliency alone pulls as much half a turn on.
  const auto largest = [&](double sense) {
    double angle = pi / 3, torque = 0;
    for (const SteadyPoint& point : s.points)
      if (sense * point.load_angle() > 0 && sense * point.torque > torque) {
        torque = sense * point.torque;
        angle = sense * point.load_angle();
      }
    return angle;
  };
  s.motor = pull_out(state, request.voltage, s.load.field_current, 1, largest(1));
  context.progress(0.85);
  s.generator = pull_out(state, request.voltage, s.load.field_current, -1, largest(-1));
  return s;
}

ResultCurve torque_curve(const StudyContext& context, const SteadyState& state, const Solved& s) {
  ResultCurve curve{
      context.name, "curve", "Torque and power against the load angle at held voltage and field current", {}, false};
  Column angle{"load_angle", "deg", {}}, torque{"torque_field", "N m", {}}, two{"torque_two_reactances", "N m", {}},
      unsaturated{"torque_two_reactances_unsaturated", "N m", {}}, power{"P_into_terminal", "W", {}},
      current{"I_phase", "A", {}}, epsilon{"torque_angle", "deg", {}};
  const MmfMoments moments = mmf_moments(context.fields.of(0));
  const auto n = s.points.size();
  for (size_t k = 0; k <= n; ++k) {  // the first once more at +180°
    const SteadyPoint& p = s.points[k % n];
    const double delta = -180 + 360 * static_cast<double>(k) / static_cast<double>(n);
    angle.values.push_back(delta);
    torque.values.push_back(p.torque);
    two.values.push_back(s.two.torque(delta * kDegree));
    if (s.unsaturated) unsaturated.values.push_back(s.unsaturated->torque(delta * kDegree));
    power.values.push_back(complex_power(p, state.phases()).real());
    current.values.push_back(kRms * std::abs(p.current));
    const Excitation excitation = state.excitation(p, 0);
    const MmfVectors mmf = mmf_vectors(context.section, moments, excitation);
    epsilon.values.push_back(torque_angle(mmf, context.section.pole_pairs, excitation.rotor_angle).angle / kDegree);
  }
  curve.columns = {angle, torque, two, power, current, epsilon};
  if (s.unsaturated) curve.columns.insert(curve.columns.begin() + 3, unsaturated);
  return curve;
}

/// Largest torque of the two-reactance curve, on the side of `sense`.
Peak two_reactance_peak(const TwoReactances& two, double sense) {
  constexpr double step = 0.1 * kDegree;
  Peak best;
  for (int k = 1; k < 1800; ++k) {
    const double delta = sense * k * step;
    if (sense * two.torque(delta) > best.value) best = {delta, sense * two.torque(delta), 0};
  }
  const auto torque = [&](double delta) { return sense * two.torque(delta); };
  const double a = best.at - step, c = best.at + step;
  return search_peak(torque, {a, best.at, c, torque(a), best.value, torque(c)}, 1e-6);
}

/// Field less two reactances between the two pull-outs, these included, over the pull-out torque of `operation`.
std::vector<double> deviations(const Solved& s, double pull_out_torque) {
  std::vector<double> all;
  const auto take = [&](const SteadyPoint& p) {
    all.push_back(std::abs(p.torque - s.two.torque(p.load_angle())) / pull_out_torque);
  };
  for (const SteadyPoint& p : s.points)
    if (p.load_angle() > s.generator.point.load_angle() && p.load_angle() < s.motor.point.load_angle()) take(p);
  take(s.generator.point);
  take(s.motor.point);
  return all;
}

void report_pull_out(StudyResult& result, const StudyContext& context, const SteadyState& state, const Solved& s,
                     const PullOut& p, double sense, At at) {
  at.emplace_back("sense", sense > 0 ? "motoring" : "generating");
  Recorder out(result, context.name, at, state.options().positions);
  const std::string how = "largest of the field's torque, Brent's search";
  out.add("pull_out_torque", std::abs(p.point.torque), how).key_result = true;
  Quantity& angle = out.add("pull_out_angle", p.point.load_angle() / kDegree, how);
  angle.key_result = true;
  angle.error = p.tolerance / kDegree;
  out.add("pull_out_power", sense * complex_power(p.point, state.phases()).real(), how);
  const auto beside = [&](const TwoReactances& two, const std::string& end, const std::string& state_name) {
    const Peak peak = two_reactance_peak(two, sense);
    out.add("two_reactance_pull_out_torque" + end, peak.value, state_name);
    out.add("two_reactance_pull_out_angle" + end, peak.at / kDegree, state_name);
  };
  beside(s.two, "", "two reactances of the field frozen at the load point");
  if (s.unsaturated) beside(*s.unsaturated, "_unsaturated", "two reactances of the unsaturated field");
}

void report_load(StudyResult& result, const StudyContext& context, const SteadyState& state, const Solved& s,
                 const PullOut& own, const At& at) {
  Recorder out(result, context.name, at, state.options().positions);
  if (field_branch(context.section) >= 0) out.add("i_field", s.load.field_current, "Newton on the field");
  out.add("load_angle", s.load.load_angle() / kDegree, "Newton on the field").key_result = true;
  out.add_mean("torque_mean", s.load.torques, "annulus harmonics").key_result = true;
  if (s.load.torque != 0)
    out.add("pull_out_ratio", own.point.torque / s.load.torque, "of the two torques").key_result = true;
  const double base = per_unit_base(context.kase.machine).impedance;
  out.add_reactance("X_d_apparent", {s.two.x_d}, base, "frozen reluctivity, mean over the positions");
  out.add_reactance("X_q_apparent", {s.two.x_q}, base, "frozen reluctivity, mean over the positions");
  out.add("E_frozen", kRms * std::abs(s.two.emf), "its q-axis part");
  const std::vector<double> off = deviations(s, std::abs(own.point.torque));
  out.add("two_reactance_deviation", *std::max_element(off.begin(), off.end()), "against the field at each angle")
      .candidates = off;
}

double inertia_of(const StudyContext& context, const Block& study, double speed) {
  if (study.values.has("inertia")) return study.values.number("inertia");
  return 2 * study.values.number("inertia_constant") * per_unit_base(context.kase.machine).power / (speed * speed);
}

/// Time at which δ has gone half a turn from its start; none where it never does.
std::optional<double> slip_time(const Swing& swing) {
  for (size_t k = 1; k < swing.angle.size(); ++k) {
    const double before = std::abs(swing.angle[k - 1] - swing.angle[0]),
                 now = std::abs(swing.angle[k] - swing.angle[0]);
    if (now >= pi) return swing.time[k - 1] + (pi - before) / (now - before) * (swing.time[k] - swing.time[k - 1]);
  }
  return {};
}

void report_swing(StudyResult& result, const StudyContext& context, const Block& study, const SteadyState& state,
                  const Solved& s, const PullOut& own, At at) {
  std::vector<double> torques;
  for (const SteadyPoint& p : s.points) torques.push_back(p.torque);
  const PeriodicCurve curve(torques);
  const int p = context.section.pole_pairs;
  const double speed = state.options().omega / p;
  SwingInput in;
  in.torque = [&](double delta) { return curve.at(delta); };
  in.load = study.values.number("load_step") * own.point.torque;
  in.inertia = inertia_of(context, study, speed);
  in.pole_pairs = p;
  in.start_angle = s.load.load_angle();
  in.duration = 40 * std::sqrt(in.inertia / (p * std::abs(own.point.torque)));
  in.stop_angle = 3 * pi;
  const Swing swing_record = swing(in);
  at.emplace_back("load_step", fmt::format("{:.4g}", study.values.number("load_step")));
  Recorder out(result, context.name, at, state.options().positions);
  const std::string how = "Dormand-Prince 5(4) on the field's own curve, no damping";
  const double left = (curve.at(own.point.load_angle()) - own.point.torque) / own.point.torque;
  out.add("curve_error", left, "trigonometric interpolation").exact = true;  // an error itself
  out.add("inertia", in.inertia, "given").exact = true;
  out.add("swing_load", in.load, "load step times pull-out torque");
  if (const std::optional<double> slip = slip_time(swing_record))
    out.add("swing_slip_time", *slip, how).key_result = true;
  else
    out.add("swing_largest_angle",
            std::abs(*std::max_element(swing_record.angle.begin(), swing_record.angle.end(),
                                       [](double a, double b) { return std::abs(a) < std::abs(b); })) /
                kDegree,
            how)
        .key_result = true;
  ResultCurve picture{context.name, "swing", "Load angle and speed after the step of the load", {}, false};
  Column time{"time", "s", swing_record.time}, angle{"load_angle", "deg", {}}, rpm{"speed", "rpm", {}};
  for (size_t k = 0; k < time.values.size(); ++k) {
    angle.values.push_back(swing_record.angle[k] / kDegree);
    rpm.values.push_back((speed - swing_record.slip_speed[k] / p) * 30 / pi);
  }
  picture.columns = {time, angle, rpm};
  result.results.curves.push_back(picture);
}

StudyResult run(StudyContext& context, const Block& study) {
  const LoadPointRequest request = read_load_point(context.kase, context.section, study);
  SteadyState state(context, options_for(context, request));
  Solved s = solve(context, state, request, study);
  const PullOut& own = request.generator ? s.generator : s.motor;
  const At at = describe_load_point(context.kase, request);
  StudyResult result;
  report_load(result, context, state, s, own, at);
  report_pull_out(result, context, state, s, s.motor, 1, at);
  report_pull_out(result, context, state, s, s.generator, -1, at);
  result.results.curves.push_back(torque_curve(context, state, s));
  report_swing(result, context, study, state, s, own, at);
  warn_beyond_rating(context, s.load, result);
  result.frames = std::move(s.frames);
  result.frame_axis = {"load_angle", "deg", "curve", "torque_field", "load angle at held voltage and field current"};
  for (size_t i = 1; i < result.frames.size(); ++i)  // the picture: the frame nearest the load point
    if (std::abs(*result.frames[i].at - s.load.load_angle() / kDegree) <
        std::abs(*result.frames[result.pictured].at - s.load.load_angle() / kDegree))
      result.pictured = i;
  return result;
}

}  // namespace

StudyType load_angle_study() {
  return {
      "load-angle",
      "Torque and power against the load angle at the terminal voltage and field current of a load point, solved on "
      "the field at every angle; pull-out both ways, the two-reactance curve beside it, and the swing after a load "
      "beyond pull-out.",
      parameters(),
      run,
      [](const Case& kase, const Section& section, const Block& study) { read_load_point(kase, section, study); },
      true,
      load_point_states,
      {},
      true};
}

}  // namespace polepitch
