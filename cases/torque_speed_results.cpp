#include "cases/torque_speed_results.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "cases/study_tools.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180, kRpm = pi / 30;
const double kRms = 1 / std::sqrt(2.0);
const char* const kOnMap = "flux map";

/// At the limit of current: most torque per ampere and the base speed.
void report_base(Recorder& out, const TorqueSpeedRun& run) {
  const LimitedOperation& operation = run.drive.operation();
  const LimitedPoint most = operation.most_torque_per_ampere(run.request.limits.current);
  const double base = operation.base_omega() / run.surface.map().pole_pairs;
  const DrivePoint at = run.drive.with_losses(operation.at(most.i_d, most.i_q, operation.base_omega()), base);
  out.add("torque_limit", most.torque, kOnMap).key_result = true;
  out.add("current_angle_mtpa", most.angle() / kDegree, kOnMap).key_result = true;
  out.add("i_d", most.i_d, kOnMap);
  out.add("i_q", most.i_q, kOnMap);
  out.add("base_speed", base / kRpm, kOnMap).key_result = true;
  out.add("P_shaft", at.shaft_power(), "torque less iron loss, at base speed").key_result = true;
  out.add("copper_loss_stator", at.copper, "R I^2").key_result = true;
  if (!run.iron.empty())
    out.add("iron_loss", at.iron, "three terms over the locus of B, at base speed").key_result = true;
  if (base > 0) out.add("efficiency", at.efficiency(), "at base speed").key_result = true;
  if (base > 0) out.add("power_factor", at.power_factor(run.surface.map().phases), "at base speed").key_result = true;
}

/// The current along −d that cancels the magnets' linkage, where the map reaches so far.
void report_characteristic_current(Recorder& out, const TorqueSpeedRun& run) {
  if (!run.request.magnets) return;
  double low = run.surface.map().i_d.front(), high = 0;
  const auto linkage = [&](double i_d) { return run.surface.at(i_d, 0).lambda_d; };
  if (linkage(low) > 0 || linkage(high) < 0) return;
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (linkage(middle) < 0 ? low : high) = middle;
  }
  out.add("characteristic_current", -kRms * low, kOnMap).key_result = true;
}

void report_map(StudyResult& result, const TorqueSpeedRun& run) {
  Recorder out(result, run.context.name, {}, run.grid.positions);
  const std::string how = fmt::format("largest of {} points off the grid", run.field.off_grid);
  const auto add = [&](const char* name, double value, const std::string& method) {
    out.add(name, value, method).exact = true;  // an error itself, or a count
  };
  add("map_points", static_cast<double>(run.field.map.size()), "count");
  add("map_error_linkage", run.field.error.linkage, how);
  add("map_error_torque", run.field.error.torque, how);
  if (!run.iron.empty()) add("map_error_iron_loss", run.iron.error, "largest of 3 points off the grid");
  if (run.field.error.worst() > run.grid.accuracy)
    result.results.warnings.push_back(
        fmt::format("{}: between its points the flux map is {:.2g} of the largest value "
                    "off, more than the {:.2g} asked for",
                    run.context.name, run.field.error.worst(), run.grid.accuracy));
}

ResultCurve mtpa_curve(const TorqueSpeedRun& run) {
  ResultCurve out{run.context.name, "most_torque_per_ampere", "Most torque per ampere", {}, false};
  Column current{"I_phase", "A", {}}, torque{"torque", "N m", {}}, angle{"current_angle", "deg", {}},
      i_d{"i_d", "A", {}}, i_q{"i_q", "A", {}};
  for (int k = 1; k <= 20; ++k) {
    const double amplitude = run.request.limits.current * k / 20;
    const LimitedPoint p = run.drive.operation().most_torque_per_ampere(amplitude);
    current.values.push_back(kRms * amplitude);
    torque.values.push_back(p.torque);
    angle.values.push_back(p.angle() / kDegree);
    i_d.values.push_back(p.i_d);
    i_q.values.push_back(p.i_q);
  }
  out.columns = {current, torque, angle, i_d, i_q};
  return out;
}

std::vector<double> speeds_of(const TorqueSpeedRequest& request) {
  return equal_lines(0, request.largest_speed, request.speeds);
}

/// The limit itself where a search has ended on it, which it meets but for its last digits.
double at_limit(double value, double limit) {
  return std::abs(value - limit) < 1e-6 * limit ? limit : value;
}

ResultCurve speed_curve(const TorqueSpeedRun& run, std::vector<DrivePoint>& points) {
  ResultCurve out{run.context.name, "limits", "Most torque inside the limits over speed", {}, false};
  Column speed{"speed", "rpm", {}}, torque{"shaft_torque", "N m", {}}, gap{"gap_torque", "N m", {}},
      power{"P_shaft", "W", {}}, voltage{"U_phase", "V", {}}, current{"I_phase", "A", {}}, i_d{"i_d", "A", {}},
      i_q{"i_q", "A", {}}, factor{"power_factor", "", {}}, efficiency{"efficiency", "", {}},
      copper{"copper_loss", "W", {}}, iron{"iron_loss", "W", {}};
  for (double w : speeds_of(run.request)) {
    const std::optional<DrivePoint> found = run.drive.most_torque(w);
    if (!found || found->shaft_torque <= 0) break;
    points.push_back(*found);
    const DrivePoint& p = points.back();
    speed.values.push_back(w / kRpm);
    torque.values.push_back(p.shaft_torque);
    gap.values.push_back(p.at.torque);
    power.values.push_back(p.shaft_power());
    voltage.values.push_back(kRms * at_limit(p.at.voltage, run.request.limits.voltage));
    current.values.push_back(kRms * at_limit(p.at.current(), run.request.limits.current));
    i_d.values.push_back(p.at.i_d);
    i_q.values.push_back(p.at.i_q);
    factor.values.push_back(p.power_factor(run.surface.map().phases));
    efficiency.values.push_back(p.efficiency());
    copper.values.push_back(p.copper);
    iron.values.push_back(p.iron);
  }
  for (Column* c : {&gap, &i_d, &i_q, &copper, &iron}) c->drawn = false;
  out.columns = {speed, torque, power, voltage, current, factor, efficiency, gap, i_d, i_q, copper, iron};
  return out;
}

ResultCurve efficiency_table(const TorqueSpeedRun& run, const std::vector<std::vector<DrivePoint>>& columns) {
  ResultCurve out{run.context.name, "efficiency_points", "Least current of each torque at each speed", {}, false};
  out.columns = {{"point", "", {}},        {"speed", "rpm", {}},   {"shaft_torque", "N m", {}}, {"efficiency", "", {}},
                 {"copper_loss", "W", {}}, {"iron_loss", "W", {}}, {"I_phase", "A", {}},        {"U_phase", "V", {}},
                 {"i_d", "A", {}},         {"i_q", "A", {}}};
  for (const std::vector<DrivePoint>& column : columns)
    for (const DrivePoint& p : column) {
      const double row[] = {static_cast<double>(out.columns[0].values.size() + 1),
                            p.speed / kRpm,
                            p.shaft_torque,
                            p.efficiency(),
                            p.copper,
                            p.iron,
                            kRms * p.at.current(),
                            kRms * p.at.voltage,
                            p.at.i_d,
                            p.at.i_q};
      for (size_t c = 0; c < out.columns.size(); ++c) out.columns[c].values.push_back(row[c]);
    }
  for (Column& c : out.columns) c.drawn = false;
  return out;
}

std::vector<std::vector<DrivePoint>> columns_of(const TorqueSpeedRun& run, double most) {
  std::vector<TorqueLine> lines;
  for (int k = 0; k < run.request.torques; ++k)
    lines.push_back(run.drive.operation().torque_line(most * k / (run.request.torques - 1)));
  std::vector<std::vector<DrivePoint>> columns;
  for (double w : speeds_of(run.request)) columns.push_back(run.drive.column(w, lines));
  return columns;
}

/// 0.5, 0.7, 0.8 … 0.9, 0.91 …: where machines differ.
const std::vector<double> kEfficiencies = {0.5,  0.6,  0.7,  0.75, 0.8,  0.84, 0.87, 0.9,
                                           0.92, 0.93, 0.94, 0.95, 0.96, 0.97, 0.98};

void report_efficiency(StudyResult& result, const TorqueSpeedRun& run, const std::vector<DrivePoint>& limit) {
  double most = 0;
  for (const DrivePoint& p : limit) most = std::max(most, p.at.torque);
  const std::vector<std::vector<DrivePoint>> columns = columns_of(run, most);
  result.results.curves.push_back(efficiency_table(run, columns));
  const EfficiencyMap map = efficiency_map(columns, 81);
  ContourMap picture;
  picture.study = run.context.name;
  picture.name = "efficiency";
  picture.title = run.iron.empty() ? "Efficiency with copper loss alone" : "Efficiency with copper and iron loss";
  picture.x_name = "speed";
  picture.x_unit = "rpm";
  picture.y_name = "shaft torque";
  picture.y_unit = "N m";
  picture.z_name = "efficiency";
  picture.y = equal_lines(0, most, static_cast<int>(map.rows));
  picture.y_of = map.torque;
  picture.z = map.efficiency;
  ConstructionLine line{"most torque inside the limits", {}, {}};
  for (double w : map.speeds) picture.x.push_back(w / kRpm);
  for (const DrivePoint& p : limit) {
    line.x.push_back(p.speed / kRpm);
    line.y.push_back(p.shaft_torque);
  }
  picture.lines = {line};
  const auto best = std::max_element(map.efficiency.begin(), map.efficiency.end());
  for (double level : kEfficiencies)
    if (level < *best) picture.levels.push_back(level);
  const auto index = static_cast<size_t>(best - map.efficiency.begin());
  Recorder out(result, run.context.name, {}, run.grid.positions);
  out.add("efficiency_most", *best, "least current of each torque").key_result = true;
  out.add("efficiency_most_speed", map.speeds[index % map.speeds.size()] / kRpm, "grid of the map");
  out.add("efficiency_most_torque", map.torque[index], "grid of the map");
  result.results.contour_maps.push_back(std::move(picture));
}

/// The plane of currents: torque, the limit of current, most torque per ampere and where the limits lead over speed.
ContourMap current_plane(const TorqueSpeedRun& run, const std::vector<DrivePoint>& limit) {
  ContourMap map;
  map.study = run.context.name;
  map.name = "currents";
  map.title = "Torque, most torque per ampere and the way of field weakening";
  map.x_name = "i_d";
  map.y_name = "i_q";
  map.x_unit = map.y_unit = "A";
  map.z_name = "torque";
  map.z_unit = "N m";
  const FluxMap& grid = run.surface.map();
  map.x = equal_lines(grid.i_d.front(), grid.i_d.back(), 81);
  map.y = equal_lines(grid.i_q.front(), grid.i_q.back(), 81);
  for (double y : map.y)
    for (double x : map.x) map.z.push_back(run.surface.at(x, y).torque);
  ConstructionLine circle{"limit of current", {}, {}}, mtpa{"most torque per ampere", {}, {}},
      way{"most torque over speed", {}, {}};
  const double first = run.request.magnets ? 0.5 * pi : 0, most = run.request.limits.current;
  for (int k = 0; k <= 60; ++k) {
    circle.x.push_back(most * std::cos(first + k * pi / 120));
    circle.y.push_back(most * std::sin(first + k * pi / 120));
  }
  for (int k = 0; k <= 20; ++k) {
    const LimitedPoint p = run.drive.operation().most_torque_per_ampere(most * k / 20);
    mtpa.x.push_back(p.i_d);
    mtpa.y.push_back(p.i_q);
  }
  for (const DrivePoint& p : limit) {
    way.x.push_back(p.at.i_d);
    way.y.push_back(p.at.i_q);
  }
  map.lines = {circle, mtpa, way};
  return map;
}

std::string with_unit(double value, const char* unit) {
  return fmt::format("{:.6g} {}", value, unit);
}

}  // namespace

double phase_current_limit(const Block& study, double rated) {
  return study.values.has("largest_current") ? std::sqrt(2.0) * study.values.number("largest_current") : rated;
}

void report_torque_speed(const TorqueSpeedRun& run, StudyResult& result) {
  const OperatingLimits& limits = run.request.limits;
  Recorder out(result, run.context.name,
               {{"phase_current", with_unit(kRms * limits.current, "A")},
                {"phase_voltage", with_unit(kRms * limits.voltage, "V")}},
               run.grid.positions);
  report_base(out, run);
  report_characteristic_current(out, run);
  report_map(result, run);
  std::vector<DrivePoint> limit;
  result.results.curves.push_back(mtpa_curve(run));
  ResultCurve over_speed = speed_curve(run, limit);
  if (!limit.empty()) result.results.curves.push_back(std::move(over_speed));
  if (limit.size() > 1) report_efficiency(result, run, limit);
  if (run.drive.operation().base_omega() == 0)
    result.results.warnings.push_back(
        run.context.name + ": at the limit of current the voltage drop at rest is over the limit of voltage already");
  if (limit.size() < static_cast<size_t>(run.request.speeds))
    result.results.warnings.push_back(limit.empty()
                                          ? run.context.name + ": inside the limits there is no torque at any speed"
                                          : fmt::format("{}: no torque is left past {:.5g} rpm, the curves end there",
                                                        run.context.name, limit.back().speed / kRpm));
  result.results.contour_maps.push_back(current_plane(run, limit));
  if (limits.resistance == 0)
    result.results.warnings.push_back(run.context.name +
                                      ": the phase resistance is taken as 0: the case states neither conductors nor "
                                      "phase_resistance");
}

}  // namespace polepitch
