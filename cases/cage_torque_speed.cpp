#include "cases/cage_torque_speed.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/study_tools.h"
#include "post/dq.h"

namespace polepitch {
namespace {

const double kRms = 1 / std::sqrt(2.0);
constexpr double kRpm = 30 / pi;

struct Request {
  std::vector<CageSupply> supplies;  // by rising frequency
  int points = 0;                    // slips of each, from standstill on
};

/// U = boost + (U_N − boost) f/f_N up to the largest voltage U_N at rated frequency, held above.
Request read(const Case& kase, const Section& section, const Block& study) {
  check_cage_machine(kase, section, study, "a torque-speed study");
  const Values& v = study.values;
  std::vector<Diagnostic> faults;
  for (const char* key : {"largest_current", "largest_speed", "speeds", "torques", "lines", "positions", "accuracy",
                          "iron_loss", "loss_lines", "loss_positions"})
    if (v.has(key) && v.given(key))
      faults.push_back(
          {v.place(key), fmt::format("{}.{} does not fit a rotor with a cage", study.path, key), "leave the key out"});
  const CageSupply rated = read_cage_supply(kase, section, study);
  const double boost = v.has("boost") ? phase_peak(kase, v.number("boost")) : 0;
  if (boost > rated.voltage)
    faults.push_back({v.place("boost"),
                      fmt::format("{}.boost = {} is more than the largest voltage, {}", study.path,
                                  format_quantity(Kind::voltage, v.number("boost"), "V"),
                                  format_quantity(Kind::voltage, line_voltage(kase, rated.voltage), "V")),
                      "give the voltage at 0 Hz, a few per cent of the largest one"});
  if (!faults.empty()) throw InputError(faults);
  std::vector<double> frequencies;
  if (v.has("frequencies"))
    frequencies = v.numbers("frequencies");
  else
    for (double share : {0.2, 0.4, 0.6, 0.8, 1.0, 1.2}) frequencies.push_back(share * rated.omega / (2 * pi));
  std::sort(frequencies.begin(), frequencies.end());
  frequencies.erase(std::unique(frequencies.begin(), frequencies.end()), frequencies.end());
  Request r;
  r.points = v.integer("slip_points");
  for (double f : frequencies) {
    r.supplies.push_back(rated);
    CageSupply& s = r.supplies.back();
    s.omega = 2 * pi * f;
    s.voltage = std::min(rated.voltage, boost + (rated.voltage - boost) * s.omega / rated.omega);
  }
  return r;
}

/// From 1 in equal ratios down to 0.4 Hz in the rotor, or a hundredth.
std::vector<double> slips_of(const Request& r, const CageSupply& supply) {
  const double last = std::clamp(0.4 * 2 * pi / supply.omega, 0.005, 0.2);
  std::vector<double> slips;
  for (int k = 0; k < r.points; ++k) slips.push_back(std::pow(last, static_cast<double>(k) / (r.points - 1)));
  return slips;
}

struct FrequencyCurve {
  CageSupply supply;
  std::vector<SlipPoint> points;  // by falling slip
  SlipPoint most;
};

double speed_of(const StudyContext& context, const SlipPoint& p) {
  return figures_of(p, context.section).speed * kRpm;
}

void report(StudyResult& result, const StudyContext& context, const FrequencyCurve& c) {
  Recorder out(result, context.name,
               {{"frequency", format_quantity(Kind::frequency, c.supply.omega / (2 * pi), "Hz")},
                {"voltage", format_quantity(Kind::voltage, line_voltage(context.kase, c.supply.voltage), "V")}},
               1);
  const std::string how = "time-harmonic field, gap coupling: fundamental";
  out.add("breakdown_torque", c.most.field.torque, how).key_result = true;
  out.add("breakdown_slip", c.most.slip, "Brent's search");
  out.add("breakdown_speed", speed_of(context, c.most), "Brent's search").key_result = true;
  out.add("locked_rotor_torque", c.points.front().field.torque, how).key_result = true;
  out.add("locked_rotor_current", kRms * std::abs(c.points.front().field.current), how);
}

/// Of one frequency, speed rising.
ResultCurve curve_of(const StudyContext& context, const FrequencyCurve& c) {
  const std::string hertz = fmt::format("{:.4g}", c.supply.omega / (2 * pi));
  ResultCurve curve{
      context.name, "curve_" + hertz + "_Hz", "Torque and current over speed at " + hertz + " Hz", {}, false};
  Column speed{"speed", "rpm", {}}, torque{"torque", "N m", {}}, current{"I_phase", "A", {}},
      factor{"power_factor", "", {}}, slip{"slip", "", {}, false}, shaft{"P_shaft", "W", {}, false},
      loss{"cage_loss", "W", {}, false};
  for (const SlipPoint& p : c.points) {
    const SlipFigures f = figures_of(p, context.section);
    speed.values.push_back(f.speed * kRpm);
    torque.values.push_back(p.field.torque);
    current.values.push_back(kRms * std::abs(p.field.current));
    factor.values.push_back(f.factor);
    slip.values.push_back(p.slip);
    shaft.values.push_back(f.shaft);
    loss.values.push_back(p.field.rotor_loss());
  }
  curve.columns = {speed, torque, current, factor, slip, shaft, loss};
  return curve;
}

ResultCurve frequency_curve(const StudyContext& context, const std::vector<FrequencyCurve>& curves) {
  ResultCurve curve{context.name, "frequencies", "Voltage, largest and starting torque over the frequency", {}, false};
  Column frequency{"frequency", "Hz", {}}, voltage{"voltage", "V", {}}, most{"torque_breakdown", "N m", {}},
      start{"torque_locked_rotor", "N m", {}}, current{"locked_rotor_current", "A", {}};
  for (const FrequencyCurve& c : curves) {
    frequency.values.push_back(c.supply.omega / (2 * pi));
    voltage.values.push_back(line_voltage(context.kase, c.supply.voltage));
    most.values.push_back(c.most.field.torque);
    start.values.push_back(c.points.front().field.torque);
    current.values.push_back(kRms * std::abs(c.points.front().field.current));
  }
  curve.columns = {frequency, voltage, most, start, current};
  return curve;
}

/// All curves in one plane, down to synchronous speed, and the line of their largest torques.
Construction family(const StudyContext& context, const std::vector<FrequencyCurve>& curves) {
  Construction chart{.study = context.name, .name = "family", .title = "Torque over speed at several frequencies"};
  chart.source = "voltage in proportion to frequency with a stated boost, solved on the field";
  chart.x_name = "speed", chart.x_unit = "rpm";
  chart.y_name = "torque", chart.y_unit = "N m";
  ConstructionLine top{"largest torque", {}, {}, ConstructionLine::Kind::help};
  for (const FrequencyCurve& c : curves) {
    ConstructionLine line{
        fmt::format("{:.4g} Hz, {:.4g} V", c.supply.omega / (2 * pi), line_voltage(context.kase, c.supply.voltage)),
        {},
        {}};
    bool shown = false;  // the largest torque, between its neighbours
    for (const SlipPoint& p : c.points) {
      if (!shown && p.slip <= c.most.slip) {
        line.x.push_back(speed_of(context, c.most));
        line.y.push_back(c.most.field.torque);
        shown = true;
      }
      line.x.push_back(speed_of(context, p));
      line.y.push_back(p.field.torque);
    }
    line.x.push_back(c.supply.omega / context.section.pole_pairs * kRpm);
    line.y.push_back(0);
    chart.lines.push_back(std::move(line));
    top.x.push_back(speed_of(context, c.most));
    top.y.push_back(c.most.field.torque);
  }
  if (top.x.size() > 1) chart.lines.push_back(top);
  return chart;
}

}  // namespace

std::vector<Parameter> cage_torque_speed_parameters() {
  return {
      {.name = "frequencies",
       .form = Form::quantity_list,
       .kind = Kind::frequency,
       .unit = "Hz",
       .lower = 0.01,
       .upper = 1e5,
       .optional = true,
       .sentence = "Frequencies of a supplied machine with a cage; 0.2, 0.4 … 1.2 of the rated one when they are not "
                   "given."},
      {.name = "boost",
       .kind = Kind::voltage,
       .unit = "V",
       .lower = 0,
       .upper = 1e6,
       .optional = true,
       .sentence = "Line-to-line voltage at 0 Hz of a supply whose voltage rises in a straight line to the largest "
                   "one at rated frequency and is held above; 0 when it is not given."},
      {.name = "slip_points",
       .form = Form::integer,
       .lower = 4,
       .upper = 200,
       .fallback = "14",
       .sentence = "Slips of each frequency of a machine with a cage, from standstill in equal ratios."}};
}

void check_cage_torque_speed(const Case& kase, const Section& section, const Block& study) {
  read(kase, section, study);
}

StudyResult cage_torque_speed(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  SlipRunner runner(context, r.supplies.front().ends);
  std::vector<CageExcitation> excitations;
  for (const CageSupply& supply : r.supplies)
    for (double slip : slips_of(r, supply)) excitations.push_back(excitation_of(supply, slip));
  const std::vector<SlipPoint> points = runner.at(excitations, 0, 0.8);
  StudyResult result;
  std::vector<FrequencyCurve> curves;
  for (size_t k = 0; k < r.supplies.size(); ++k) {
    const auto begin = points.begin() + static_cast<long>(k) * r.points;
    FrequencyCurve c{r.supplies[k], {begin, begin + r.points}, {}};
    c.most = breakdown(runner, c.supply, c.points);
    report(result, context, c);
    result.results.curves.push_back(curve_of(context, c));
    curves.push_back(std::move(c));
  }
  if (curves.size() > 1) result.results.curves.push_back(frequency_curve(context, curves));
  result.results.constructions.push_back(family(context, curves));
  warn_of_supply(result, context.name, r.supplies.front());
  context.progress(1);
  return result;
}

std::vector<Excitation> cage_torque_speed_states(const Case& kase, const Section& section, const Block& study) {
  const Request r = read(kase, section, study);
  return cage_states(kase, section, r.supplies.front().ends,
                     {excitation_of(r.supplies.back(), 1), excitation_of(r.supplies.back(), 0.1)});
}

std::vector<double> cage_torque_speed_edges(const Case& kase, const Section& section, const Block& study) {
  return skin_limits(kase, section, read(kase, section, study).supplies.back().omega);
}

}  // namespace polepitch
