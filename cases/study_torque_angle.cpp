// torque-angle: currents held and the rotor turned through one electrical period; then the ripple at the greatest
// torque and the torque without stator current (cogging).
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "cases/cogging.h"
#include "cases/skew.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/gap_quantities.h"
#include "post/mmf.h"
#include "post/torque.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = load_parameters();
  list.push_back({.name = "angles",
                  .form = Form::integer,
                  .lower = 12,
                  .upper = 3600,
                  .fallback = "72",
                  .sentence = "Torque angles over one electrical period."});
  list.push_back({.name = "cogging_angles",
                  .form = Form::integer,
                  .lower = 0,
                  .upper = 720,
                  .fallback = "24",
                  .sentence = "Rotor positions over one cogging period without stator current; 0 leaves it out."});
  return list;
}

/// Currents held as they are at load.rotor_angle: phases fixed in space, bars fixed on the rotor.
struct HeldCurrents {
  Excitation at_start;
  double epsilon = 0;  // rad, torque angle at load.rotor_angle
  bool from_d_axis = false;
  bool any_stator = false;
};

HeldCurrents hold(StudyContext& context, const Load& load) {
  HeldCurrents held;
  held.at_start = excite(context.section, load, load.rotor_angle);
  const MmfVectors mmf = mmf_vectors(context.section, mmf_moments(context.fields.of(0)), held.at_start);
  const TorqueAngle angle = torque_angle(mmf, context.section.pole_pairs, load.rotor_angle);
  held.any_stator = std::abs(mmf.stator) > 0;
  held.epsilon = angle.angle;
  held.from_d_axis = angle.from_d_axis;
  return held;
}

double rotor_angle_for(const HeldCurrents& held, const Load& load, int pole_pairs, double epsilon) {
  return load.rotor_angle + (held.epsilon - epsilon) / pole_pairs;
}

struct StaticCurve {
  std::vector<double> epsilon;  // rad
  std::vector<Excitation> points;
  std::vector<double> torque, fundamental;
};

StaticCurve torque_over_angle(StudyContext& context, const Load& load, const HeldCurrents& held, int count,
                              StudyResult& result) {
  StaticCurve curve;
  const int p = context.section.pole_pairs;
  for (int k = 0; k < count; ++k) {
    curve.epsilon.push_back(-pi + 2 * pi * (k + 1) / count);  // 180° is in, its twin at −180° is not
    Excitation e = held.at_start;
    e.rotor_angle = rotor_angle_for(held, load, p, curve.epsilon.back());
    curve.points.push_back(e);
  }
  curve.fundamental.resize(count);
  const std::vector<bool> keep = chosen_frames(context, curve.points.size());
  std::vector<StaticSolution> kept(curve.points.size());
  const std::vector<double> offsets = skew_offsets(context.kase);
  const size_t each = offsets.size();
  std::vector<double> torques(curve.points.size() * each);
  FluxDensityRecords flux(context, torques.size());
  sweep(
      context, in_slices(curve.points, offsets),
      [&](const SolvedPoint& point) {
        torques[point.index] = point.field.torque(point.solution);
        flux.add(point.index, point.field, point.solution);
        if (point.index % each != each / 2) return;  // the middle of the stack
        const size_t k = point.index / each;
        curve.fundamental[k] = std::abs(fundamental_radial(point.solution.gap, p));
        if (keep[k]) kept[k] = point.solution;
      },
      0, 0.6);
  curve.torque = over_slices(torques, each);
  flux.finish(context, result);
  for (size_t i = 0; i < kept.size(); ++i)
    if (keep[i])
      result.frames.push_back({context.name, curve.points[i], std::move(kept[i]), double(result.frames.size()),
                               curve.epsilon[i] / kDegree});
  result.frame_axis = {"torque_angle", "deg", "static_torque", "torque", "torque angle at held currents"};
  return curve;
}

/// The vertex of the parabola through the largest value and its neighbours (the curve is periodic).
double vertex(const StaticCurve& curve) {
  const size_t n = curve.torque.size();
  const size_t i = std::max_element(curve.torque.begin(), curve.torque.end()) - curve.torque.begin();
  const double a = curve.torque[(i + n - 1) % n], b = curve.torque[i], c = curve.torque[(i + 1) % n];
  const double bend = a - 2 * b + c, step = 2 * pi / static_cast<double>(n);
  return curve.epsilon[i] + (bend < 0 ? 0.5 * (a - c) / bend * step : 0);
}

struct Maximum {
  double torque, epsilon;
  double step;  // rad, within which the angle is known beside the mesh's error
};

Maximum find_maximum(StudyContext& context, const Load& load, const HeldCurrents& held, const StaticCurve& curve) {
  const size_t i = std::max_element(curve.torque.begin(), curve.torque.end()) - curve.torque.begin();
  const double epsilon = vertex(curve);
  Excitation e = held.at_start;
  e.rotor_angle = rotor_angle_for(held, load, context.section.pole_pairs, epsilon);
  StaticField& field = context.fields.of(0);
  double torque = 0;
  const std::vector<double> offsets = skew_offsets(context.kase);
  for (const Excitation& slice : in_slices({e}, offsets))
    torque += field.torque(field.solve(slice)) / static_cast<double>(offsets.size());
  const double step = 2 * pi / static_cast<double>(curve.torque.size());
  if (torque < curve.torque[i]) return {curve.torque[i], curve.epsilon[i], 0.5 * step};
  return {torque, epsilon, 0};
}

/// Torque over one ripple period with both MMFs kept at this torque angle.
std::vector<double> ripple_at(StudyContext& context, const Load& load, const HeldCurrents& held, double epsilon) {
  const Section& section = context.section;
  Load turning = load;
  turning.phase_currents.clear();
  turning.rotor_angle = rotor_angle_for(held, load, section.pole_pairs, epsilon);
  const Dq current = phases_to_dq(section, held.at_start.currents, turning.rotor_angle);
  turning.current = std::hypot(current.d, current.q);
  turning.current_angle = std::atan2(current.q, current.d);
  const std::vector<Excitation> points = mean_positions(section, turning);
  const std::vector<double> offsets = skew_offsets(context.kase);
  std::vector<double> torque(points.size() * offsets.size());
  sweep(
      context, in_slices(points, offsets), [&](const SolvedPoint& p) { torque[p.index] = p.field.torque(p.solution); },
      0.6, 0.8);
  return over_slices(torque, offsets.size());
}

/// The frame whose torque angle is closest to the maximum's: the one worth a picture.
size_t nearest_frame(const StudyContext& context, const HeldCurrents& held, const Load& load, double epsilon,
                     const StudyResult& result) {
  const double angle = rotor_angle_for(held, load, context.section.pole_pairs, epsilon);
  size_t best = 0;
  const auto distance = [&](size_t i) { return std::abs(result.frames[i].solution.rotor_angle - angle); };
  for (size_t i = 1; i < result.frames.size(); ++i)
    if (distance(i) < distance(best)) best = i;
  return best;
}

void report_curve(StudyContext& context, const StaticCurve& curve, StudyResult& result) {
  ResultCurve out{context.name, "static_torque", "Static torque at held currents against the torque angle", {}, false};
  Column epsilon{"torque_angle", "deg", {}}, rotor{"rotor_angle", "deg", {}}, torque{"torque", "N m", curve.torque},
      b{"B_r1", "T", curve.fundamental};
  for (size_t i = 0; i < curve.points.size(); ++i) {
    epsilon.values.push_back(curve.epsilon[i] / kDegree);
    rotor.values.push_back(curve.points[i].rotor_angle / kDegree);
  }
  rotor.drawn = false;
  out.columns = {epsilon, torque, b, rotor};
  result.results.curves.push_back(out);
}

/// Currents held at four unequal rotor angles over one electrical period.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Load load = read_load(kase, section, study);
  const Excitation held = excite(section, load, load.rotor_angle);
  std::vector<Excitation> states(4, held);
  for (size_t k = 0; k < states.size(); ++k)
    states[k].rotor_angle +=
        2 * pi * (static_cast<double>(k) + 0.13 * static_cast<double>(k % 2)) / 4 / section.pole_pairs;
  return states;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Load load = read_load(context.kase, context.section, study);
  const HeldCurrents held = hold(context, load);
  StudyResult result;
  if (held.any_stator) {
    const StaticCurve curve = torque_over_angle(context, load, held, study.values.integer("angles"), result);
    report_curve(context, curve, result);
    const Maximum maximum = find_maximum(context, load, held, curve);
    const std::vector<double> ripple = ripple_at(context, load, held, maximum.epsilon);
    result.pictured = nearest_frame(context, held, load, maximum.epsilon, result);
    Recorder out(result, context.name, describe_load(context.section, load), 1);
    out.add("torque_max", maximum.torque, "annulus harmonics").key_result = true;
    Quantity& angle = out.add("torque_max_angle", maximum.epsilon / kDegree,
                              held.from_d_axis ? "F_s from the rotor's d-axis" : "arg F_s - arg F_r");
    angle.key_result = true;
    angle.error = maximum.step / kDegree;
    At at = describe_load(context.section, load);
    at.emplace_back("torque_angle", fmt::format("{:.6g} deg", maximum.epsilon / kDegree));
    Recorder mean(result, context.name, at, static_cast<int>(ripple.size()));
    mean.add_mean("torque_mean", ripple, "annulus harmonics, both MMFs turning with the rotor").key_result = true;
  }
  add_cogging(context, load, study.values.integer("cogging_angles"), result, 0.8, 1);
  return result;
}

}  // namespace

StudyType torque_angle_study() {
  return {"torque-angle",
          "Currents held while the rotor turns: static torque against the torque angle, its maximum and where; ripple "
          "there over one ripple period; torque without stator current (cogging).",
          parameters(),
          run,
          [](const Case& kase, const Section& section, const Block& study) { read_load(kase, section, study); },
          false,
          states,
          {},
          true};
}

}  // namespace polepitch
