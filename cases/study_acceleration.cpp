// acceleration: a machine with a cage from standstill against a load, on the torque curve of its fields; time, heat.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/slip_points.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/cage_data.h"
#include "post/cubic_spline.h"
#include "post/dq.h"
#include "post/rotor_winding.h"
#include "post/run_up.h"

namespace polepitch {
namespace {

const double kRms = 1 / std::sqrt(2.0);
constexpr double kRpm = 30 / pi;

struct Request {
  CageSupply supply;
  std::vector<double> slips;  // rising from 0 to 1
  double inertia = 0, load = 0, fan = 0, longest = 0;
};

Parameter optional(const char* name, Kind kind, const char* unit, double lower, double upper, const char* fallback,
                   const char* sentence) {
  return {.name = name,
          .kind = kind,
          .unit = unit,
          .lower = lower,
          .upper = upper,
          .fallback = fallback,
          .sentence = sentence};
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = {
      optional("inertia", Kind::inertia, "kg m2", 1e-9, 1e9, "", "Moment of inertia of everything that turns."),
      optional("load_torque", Kind::torque, "N m", 0, 1e7, "0 N m", "Load that does not depend on the speed."),
      optional("fan_torque", Kind::torque, "N m", 0, 1e7, "0 N m",
               "Load that rises with the square of the speed, at synchronous speed."),
      optional("longest_time", Kind::time, "s", 1e-3, 1e6, "600 s", "Time after which the calculation ends.")};
  for (const Parameter& p : cage_supply_parameters()) list.push_back(p);
  list.push_back(frequency_parameter("Frequency of the supply; the rated one when it is not given."));
  list.push_back({.name = "slips",
                  .form = Form::quantity_list,
                  .lower = 1e-5,
                  .upper = 1,
                  .optional = true,
                  .sentence = "Slips at which fields are solved, 0 and 1 beside them; 19 when they are not given."});
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  check_cage_machine(kase, section, study, "an acceleration study");
  const Values& v = study.values;
  Request r;
  r.supply = read_cage_supply(kase, section, study);
  r.inertia = v.number("inertia");
  r.load = v.number("load_torque");
  r.fan = v.number("fan_torque");
  r.longest = v.number("longest_time");
  r.slips = {0.005, 0.01, 0.02, 0.03, 0.045, 0.06, 0.08, 0.1, 0.13, 0.16, 0.2, 0.25, 0.3, 0.4, 0.5, 0.65, 0.8};
  if (v.has("slips")) r.slips = v.numbers("slips");
  for (double end : {0.0, 1.0}) r.slips.push_back(end);
  std::sort(r.slips.begin(), r.slips.end());
  r.slips.erase(std::unique(r.slips.begin(), r.slips.end()), r.slips.end());
  return r;
}

/// Small slips, where torque is steep, and large ones have equal room.
double place_of(double slip) {
  return std::log(1 + slip / 0.02);
}
double slip_at(double place) {
  return 0.02 * (std::exp(place) - 1);
}

/// A number over slip between the fields: cubic spline.
class SlipCurve {
 public:
  template <class Number>
  SlipCurve(const std::vector<SlipPoint>& points, Number number) {
    for (const SlipPoint& p : points) {
      x_.push_back(place_of(p.slip));
      y_.push_back(number(p));
    }
    slope_ = spline_slopes(x_, y_);
  }
  double at(double slip) const {
    const SplineShares s = spline_shares(x_, place_of(slip));
    double sum = 0;
    for (size_t k = 0; k < 2; ++k) sum += s.value[k] * y_[s.at[k]] + s.slope[k] * slope_[s.at[k]];
    return sum;
  }

 private:
  std::vector<double> x_, y_, slope_;
};

bool wound(const StudyContext& context) {
  return !context.section.rotor_winding.sides.empty();
}

struct Curves {
  SlipCurve torque, bars, rings, copper, current;
  double synchronous;  // rad/s
  double off = 0;      // of the torque between the fields, over its largest
};

Curves curves_of(const StudyContext& context, const Request& r, const std::vector<SlipPoint>& points,
                 const std::vector<SlipPoint>& between) {
  const double phases = phase_count(context.section);
  Curves c{
      SlipCurve(points, [](const SlipPoint& p) { return p.field.torque; }),
      SlipCurve(points, [](const SlipPoint& p) { return p.field.bar_loss + p.field.rotor_copper; }),
      SlipCurve(points, [](const SlipPoint& p) { return p.field.ring_loss; }),
      SlipCurve(points,
                [&](const SlipPoint& p) { return 0.5 * phases * r.supply.resistance * std::norm(p.field.current); }),
      SlipCurve(points, [](const SlipPoint& p) { return kRms * std::abs(p.field.current); }),
      r.supply.omega / context.section.pole_pairs};
  double most = 0;
  for (const SlipPoint& p : points) most = std::max(most, std::abs(p.field.torque));
  for (const SlipPoint& p : between) c.off = std::max(c.off, std::abs(c.torque.at(p.slip) - p.field.torque) / most);
  return c;
}

/// Middles of some of the steps between the slips.
std::vector<double> middles_of(const std::vector<double>& slips) {
  std::vector<double> middles;
  for (size_t share = 1; share <= 4; ++share) {
    const size_t k = share * (slips.size() - 1) / 5;
    middles.push_back(slip_at(0.5 * (place_of(slips[k]) + place_of(slips[k + 1]))));
  }
  middles.erase(std::unique(middles.begin(), middles.end()), middles.end());
  return middles;
}

RunUpInput input_of(const Request& r, const Curves& c) {
  const double synchronous = c.synchronous;
  const auto over = [synchronous](const SlipCurve& curve) {
    return [&curve, synchronous](double speed) { return curve.at(1 - speed / synchronous); };
  };
  RunUpInput in;
  in.torque = over(c.torque);
  in.bar_loss = over(c.bars);
  in.ring_loss = over(c.rings);
  in.copper = over(c.copper);
  in.load = [load = r.load, fan = r.fan, synchronous](double speed) {
    return load + fan * std::pow(speed / synchronous, 2);
  };
  in.inertia = r.inertia;
  in.longest = r.longest;
  return in;
}

ResultCurve time_curve(const StudyContext& context, const RunUp& run, const RunUpInput& in, const Curves& c) {
  ResultCurve curve{context.name, "curve", "From standstill: speed, torque, current and heat over time", {}, false};
  Column time{"time", "s", run.time}, speed{"speed", "rpm", {}}, torque{"torque", "N m", {}},
      load{"load_torque", "N m", {}}, current{"I_phase", "A", {}},
      bars{wound(context) ? "heat_rotor" : "heat_bars", "J", run.bars}, rings{"heat_rings", "J", run.rings},
      copper{"heat_stator", "J", run.copper};
  for (double w : run.speed) {
    speed.values.push_back(w * kRpm);
    torque.values.push_back(in.torque(w));
    load.values.push_back(in.load(w));
    current.values.push_back(c.current.at(1 - w / c.synchronous));
  }
  curve.columns = {time, speed, torque, load, current, bars, copper};
  if (!wound(context)) curve.columns.push_back(rings);
  return curve;
}

ResultCurve speed_curve(const StudyContext& context, const RunUpInput& in, const Curves& c) {
  ResultCurve curve{context.name, "torques", "Torque of motor and load over the speed", {}, false};
  Column speed{"speed", "rpm", {}}, torque{"torque", "N m", {}}, load{"torque_load", "N m", {}};
  for (int k = 0; k <= 150; ++k) {
    const double w = c.synchronous * k / 150;
    speed.values.push_back(w * kRpm);
    torque.values.push_back(in.torque(w));
    load.values.push_back(in.load(w));
  }
  curve.columns = {speed, torque, load};
  return curve;
}

/// Of a wound rotor's heat, what the resistance outside of the rings takes.
double external_share(const StudyContext& context, const Request& r) {
  const double own = rotor_winding_data(context.section, context.kase.machine, context.kase.materials).resistance;
  return 1 - own / r.supply.rotor_resistance;
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const Curves& c, const RunUpInput& in,
            const RunUp& run) {
  Recorder out(result, context.name,
               {{"inertia", format_quantity(Kind::inertia, r.inertia, "kg m2")},
                {"voltage", format_quantity(Kind::voltage, line_voltage(context.kase, r.supply.voltage), "V")},
                {"load_torque", format_quantity(Kind::torque, r.load, "N m")},
                {"fan_torque", format_quantity(Kind::torque, r.fan, "N m")}},
               1);
  const std::string how = "Dormand-Prince on the spline through the fields' torque";
  const double speed = run.speed.back(), rotor = run.bars.back() + run.rings.back();
  const double kinetic = 0.5 * r.inertia * speed * speed;
  out.add("final_speed", in.final_speed * kRpm, "where torque and load meet").key_result = true;
  if (run.arrived) out.add("run_up_time", run.time.back(), how).key_result = true;
  if (wound(context)) {
    const double outside = external_share(context, r);
    out.add("run_up_rotor_heat", run.bars.back() * (1 - outside), how).key_result = true;
    out.add("run_up_external_heat", run.bars.back() * outside, "in the resistance between the rings").key_result = true;
  } else {
    out.add("run_up_bar_heat", run.bars.back(), how).key_result = true;
    out.add("run_up_ring_heat", run.rings.back(), how).key_result = true;
  }
  out.add("run_up_stator_heat", run.copper.back(), how).key_result = true;
  out.add("kinetic_energy", kinetic, "half of inertia times speed squared");
  out.add("rotor_heat_ratio", rotor / kinetic, "rotor heat over kinetic energy").key_result = true;
  const CageData cage =
      cage_data(context.section, {}, context.kase.materials, context.kase.machine.general.values.number("temperature"));
  if (cage.bar_mass > 0)
    out.add("run_up_bar_heat_per_mass", run.bars.back() / cage.bar_mass, "over the bars' mass").key_result = true;
  out.add("slip_curve_error", c.off, "fields between those of the spline").exact = true;  // an error itself
}

void warn(StudyResult& result, const StudyContext& context, const Request& r, const Curves& c, const RunUpInput& in,
          const RunUp& run, double breakdown_slip) {
  std::vector<std::string>& warnings = result.results.warnings;
  if (1 - in.final_speed / c.synchronous > breakdown_slip)
    warnings.push_back(
        fmt::format("{}: the motor does not get past {:.5g} rpm: there the load is as large as its torque, "
                    "short of its largest one",
                    context.name, in.final_speed * kRpm));
  if (!run.arrived)
    warnings.push_back(fmt::format("{}: the motor has not reached 99 % of {:.5g} rpm after {:.5g} s", context.name,
                                   in.final_speed * kRpm, r.longest));
  if (c.off > 0.01)
    warnings.push_back(
        fmt::format("{}: between the fields the torque curve is off by {:.1f} % of the largest torque; give "
                    "more slips",
                    context.name, 100 * c.off));
  warnings.push_back(
      context.name +
      ": heat of a start without cooling, temperature held; a motor that has to start often or against a "
      "large inertia is checked by a qualified engineer against its standards");
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  SlipRunner runner(context, r.supply.ends);
  std::vector<double> slips(r.slips.rbegin(), r.slips.rend());
  const std::vector<double> middles = middles_of(r.slips);
  slips.insert(slips.end(), middles.rbegin(), middles.rend());
  std::vector<SlipPoint> points = runner.at(r.supply, slips, 0, 0.95);
  const std::vector<SlipPoint> between(points.begin() + static_cast<long>(r.slips.size()), points.end());
  points.resize(r.slips.size());
  std::reverse(points.begin(), points.end());
  const auto most = std::max_element(points.begin(), points.end(), [](const SlipPoint& a, const SlipPoint& b) {
    return a.field.torque < b.field.torque;
  });
  const Curves curves = curves_of(context, r, points, between);
  RunUpInput in = input_of(r, curves);
  if (in.torque(0) <= in.load(0))
    throw InputError(
        fmt::format("the motor does not start: its torque at standstill is {:.5g} N m, and the load's {:.5g} "
                    "N m",
                    in.torque(0), in.load(0)),
        "lower the load, or raise the voltage", study.place);
  in.final_speed = meeting_speed(in.torque, in.load, curves.synchronous);
  const RunUp up = run_up(in);
  StudyResult result;
  report(result, context, r, curves, in, up);
  result.results.curves.push_back(time_curve(context, up, in, curves));
  result.results.curves.push_back(speed_curve(context, in, curves));
  warn(result, context, r, curves, in, up, most->slip);
  warn_of_supply(result, context.name, r.supply);
  return result;
}

std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Request r = read(kase, section, study);
  return cage_states(kase, section, r.supply.ends, {excitation_of(r.supply, 1), excitation_of(r.supply, 0.2)});
}

}  // namespace

StudyType acceleration_study() {
  return {"acceleration",
          "A machine with a cage from standstill against a given inertia and load: speed and current over time, run-up "
          "time, and the heat that bars, rings and stator take on the way.",
          parameters(),
          run,
          [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
          true,
          states,
          {},
          false,
          [](const Case& kase, const Section& section, const Block& study) {
            return skin_limits(kase, section, read(kase, section, study).supply.omega);
          }};
}

}  // namespace polepitch
