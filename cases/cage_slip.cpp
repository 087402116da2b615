#include "cases/cage_slip.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/cage_circuit.h"
#include "cases/load.h"
#include "cases/study_tools.h"
#include "cases/two_line_slip.h"
#include "post/dq.h"
#include "post/induction_phasors.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;
const double kRms = 1 / std::sqrt(2.0);

/// Of the torque over the positions, peak to peak.
double spread_of(const SlipPoint& p) {
  const auto [low, high] = std::minmax_element(p.torques.begin(), p.torques.end());
  return *high - *low;
}

void report_rotor(Recorder& out, const SlipPoint& p) {
  const CageExcitation& e = p.field.excitation;
  out.add("I_rotor", kRms * std::abs(p.field.rotor_current), "time-harmonic field").key_result = true;
  out.add("R_rotor_circuit", e.rotor_resistance, "rotor winding and what stands outside of it").exact = true;
}

void report_point(StudyResult& result, const StudyContext& context, const CageSupply& supply, const SlipPoint& p,
                  const std::string& where) {
  const SlipFigures f = figures_of(p, context.section);
  At at = {{"voltage", fmt::format("{:.6g} V a phase", kRms * supply.voltage)}, {"point", where}};
  Recorder out(result, context.name, at, 1);
  const bool all = p.torques.size() > 1;
  const std::string how =
      std::string("time-harmonic field, gap coupling: ") + (all ? "all harmonics at one slip" : "fundamental");
  out.add("slip", p.slip, where == "largest torque" ? "Brent's search" : "given");
  out.add_mean("torque_mean", p.torques, how).key_result = true;
  if (all) out.add("torque_spread", spread_of(p), "error of one slip for all harmonics").key_result = true;
  out.add("I_phase", kRms * std::abs(p.field.current), how).key_result = true;
  if (!per_unit_base(context.kase.machine).star && phase_count(context.section) == 3)
    out.add("I_line", kRms * std::sqrt(3.0) * std::abs(p.field.current), "of a delta").key_result = true;
  out.add("power_factor", f.factor, how).key_result = true;
  out.add("P_shaft", f.shaft, "torque times speed");
  out.add("P_terminal", f.input, how);
  if (f.efficiency > 0)
    out.add("efficiency_cage", f.efficiency, "without iron, friction and additional loss").key_result = true;
  out.add("copper_loss_stator", f.copper, "R I^2");
  out.add("cage_loss", p.field.rotor_loss(), "bars by field, rings and windings by their resistance");
  out.add("ring_loss", p.field.ring_loss, "R I^2 of the segments");
  out.add("rotor_frequency", std::abs(p.slip) * supply.omega / (2 * pi), "slip times supply frequency");
  if (has_bars(context.section)) {
    out.add("torque_angle", p.torque_angle / kDegree, "arg F_s - arg F_r").key_result = true;
    out.add("rotor_phase_angle", p.rotor_phase / kDegree, "bar's EMF of the gap against its current");
  }
  if (p.field.solid_loss > 0) out.add("rotor_loss", p.field.solid_loss, "current density squared over conductivity");
  if (!context.section.rotor_winding.sides.empty()) report_rotor(out, p);
  const double rest = all ? f.input - f.copper - p.field.rotor_loss() - f.shaft
                          : p.slip * supply.omega / context.section.pole_pairs * p.field.torque - p.field.rotor_loss();
  out.add("gap_power_balance", rest / per_unit_base(context.kase.machine).power,
          all ? "terminal power less losses and shaft: the rest that one slip for all harmonics leaves"
              : "slip times gap power less cage loss");
}

/// What stands between open slip rings at rest, and in them closed.
void report_rings(StudyResult& result, const StudyContext& context, const CageSupply& supply, SlipRunner& runner,
                  const SlipPoint& near) {
  CageExcitation open = excitation_of(supply, 1);
  open.rotor_open = true;
  const SlipPoint p = runner.at(open, near);
  Recorder out(result, context.name, {{"point", "standstill, open slip rings"}}, 1);
  const int phases = context.section.rotor_winding.phases;
  const double line = phases == 2 ? std::sqrt(2.0) : 2 * std::sin(pi / phases);
  out.add("ring_voltage", kRms * line * supply.omega * std::abs(p.field.rotor_linkage), "omega times linkage")
      .key_result = true;
  out.add("I_phase", kRms * std::abs(p.field.current), "time-harmonic field").key_result = true;
}

void report_ratios(StudyResult& result, const StudyContext& context, const SlipPoint& locked, const SlipPoint& most,
                   const SlipPoint& rated) {
  Recorder out(result, context.name, {{"point", "over rated speed"}}, 1);
  const std::string how = "of the two fields";
  out.add("locked_rotor_torque_ratio", locked.field.torque / rated.field.torque, how).key_result = true;
  out.add("locked_rotor_current_ratio", std::abs(locked.field.current / rated.field.current), how).key_result = true;
  out.add("breakdown_torque_ratio", most.field.torque / rated.field.torque, how).key_result = true;
}

ResultCurve curve_of(const StudyContext& context, const std::vector<SlipPoint>& points) {
  ResultCurve curve{context.name, "curve", "Torque, current, power factor and losses over slip", {}, false};
  Column slip{"slip", "", {}}, torque{"torque", "N m", {}}, current{"I_phase", "A", {}}, factor{"power_factor", "", {}},
      efficiency{"efficiency_cage", "", {}}, loss{"cage_loss", "W", {}}, speed{"speed", "rpm", {}, false},
      frequency{"rotor_frequency", "Hz", {}, false},
      bar{context.section.rotor_winding.sides.empty() ? "I_bar" : "I_rotor", "A", {}, false};
  for (const SlipPoint& p : points) {
    const SlipFigures f = figures_of(p, context.section);
    slip.values.push_back(p.slip);
    torque.values.push_back(p.field.torque);
    current.values.push_back(kRms * std::abs(p.field.current));
    factor.values.push_back(f.factor);
    efficiency.values.push_back(f.efficiency);
    loss.values.push_back(p.field.rotor_loss());
    speed.values.push_back(f.speed * 30 / pi);
    frequency.values.push_back(std::abs(p.slip) * p.field.excitation.omega / (2 * pi));
    bar.values.push_back(kRms * p.slot_current);
  }
  curve.columns = {slip, torque, current, factor, efficiency, loss, speed, frequency, bar};
  return curve;
}

/// Why torque has a maximum: the rotor's MMF grows with slip while it turns away from where it pulls.
ResultCurve vector_curve(const StudyContext& context, const std::vector<SlipPoint>& points) {
  ResultCurve curve{context.name, "vectors", "MMFs of both sides and the angles between them, over slip", {}, false};
  Column slip{"slip", "", {}}, f_s{"F_s", "A", {}}, f_r{"F_r", "A", {}}, angle{"torque_angle", "deg", {}},
      rotor{"rotor_phase_angle", "deg", {}}, ratio{"omega_L_over_R", "", {}};
  for (const SlipPoint& p : points) {
    slip.values.push_back(p.slip);
    f_s.values.push_back(std::abs(p.f_s));
    f_r.values.push_back(std::abs(p.f_r));
    angle.values.push_back(p.torque_angle / kDegree);
    rotor.values.push_back(p.rotor_phase / kDegree);
    ratio.values.push_back(std::tan(p.rotor_phase));
  }
  curve.columns = {slip, f_s, f_r, angle, rotor, ratio};
  return curve;
}

/// "locked rotor" → "phasors_locked_rotor".
void add_phasors(StudyResult& result, const StudyContext& context, const SlipPoint& p, const std::string& where) {
  const CageExcitation& e = p.field.excitation;
  PhasorDiagram diagram = induction_phasor_diagram(
      {kRms * p.field.voltage, kRms * p.field.current, kRms * p.rotor_current, e.resistance, stator_leakage(p)});
  diagram.study = context.name;
  diagram.name = "phasors_" + where;
  std::replace(diagram.name.begin(), diagram.name.end(), ' ', '_');
  diagram.title = fmt::format("Phasor diagram, {}: slip {:.4g}, {:.4g} N m", where, p.slip, p.field.torque);
  result.results.phasor_diagrams.push_back(std::move(diagram));
}

}  // namespace

CageSlipRequest read_cage_slip(const Case& kase, const Section& section, const Block& study) {
  const Values& v = study.values;
  std::vector<Diagnostic> faults;
  const bool two = v.has("supply") && v.text("supply") == "two-lines";
  if (two && phase_count(section) != 3)
    faults.push_back({v.place("supply"), study.path + ".supply = \"two-lines\" takes a winding of three phases",
                      "leave the key out"});
  for (const char* key : {"phase_current", "supply", "rotor_angle"})
    if (v.has(key) && v.given(key) && !(two && key == std::string("supply")))
      faults.push_back(
          {v.place(key),
           fmt::format("{}.{} does not fit a cage: its winding is fed by the voltage of all "
                       "phases",
                       study.path, key),
           key == std::string("supply") ? "leave the key out, or take \"two-lines\"" : "leave the key out"});
  const bool stated = v.has("gap_coupling") && v.given("gap_coupling");
  if (two && stated && v.text("gap_coupling") != "fundamental")
    faults.push_back({v.place("gap_coupling"),
                      study.path + ".gap_coupling: two lines are solved by the fundamental of both senses",
                      "take \"fundamental\", or leave the key out"});
  else if (stated && v.text("gap_coupling") == "own-frequency")
    faults.push_back({v.place("gap_coupling"),
                      fmt::format("{}.gap_coupling = \"own-frequency\" does not fit a rotor with slots", study.path),
                      "take \"fundamental\" or \"all-harmonics\", or leave the key out"});
  if (!faults.empty()) throw InputError(faults);
  CageSlipRequest r;
  if (stated && v.text("gap_coupling") == "all-harmonics") {
    r.cage.coupling = GapCoupling::all_harmonics;
    r.positions = v.integer("positions");
  }
  r.supply = read_cage_supply(kase, section, study);
  const double synchronous = r.supply.omega / section.pole_pairs;
  if (v.has("speeds"))
    for (double speed : v.numbers("speeds")) r.slips.push_back(1 - speed / synchronous);
  if (v.has("slips")) r.slips = v.numbers("slips");
  if (r.slips.empty())
    r.slips = {1, 0.8, 0.6, 0.5, 0.4, 0.3, 0.25, 0.2, 0.16, 0.13, 0.1, 0.08, 0.06, 0.045, 0.03, 0.02, 0.01, 1e-3};
  std::sort(r.slips.begin(), r.slips.end(), std::greater<>());
  r.rated_slip = rated_slip(kase, section);
  return r;
}

std::vector<Excitation> cage_slip_states(const Case& kase, const Section& section, const Block& study) {
  const CageSlipRequest r = read_cage_slip(kase, section, study);
  return cage_states(
      kase, section, r.supply.ends,
      {excitation_of(r.supply, r.slips.front()), excitation_of(r.supply, r.rated_slip != 0 ? r.rated_slip : 0.03)});
}

StudyResult cage_slip(StudyContext& context, const Block& study) {
  const CageSlipRequest request = read_cage_slip(context.kase, context.section, study);
  if (on_two_lines(study)) return two_line_slip(context, study);
  const CageSupply& supply = request.supply;
  SlipRunner runner(context, supply.ends, request.cage, request.positions);
  const std::vector<bool> keep = chosen_frames(context, request.slips.size());
  StudyResult result;
  std::vector<double> slips = request.slips;
  if (request.rated_slip != 0) slips.push_back(request.rated_slip);
  std::vector<SlipPoint> points = runner.at(supply, slips);
  std::optional<SlipPoint> rated;
  if (request.rated_slip != 0) {
    rated = std::move(points.back());
    points.pop_back();
  }
  for (size_t k = 0; k < points.size(); ++k)
    if (keep[k]) result.frames.push_back(runner.frame(points[k], result.frames.size()));
  const SlipPoint most = breakdown(runner, supply, points);
  const bool from_rest = points.front().slip == 1;
  const auto report = [&](const SlipPoint& p, const std::string& where) {
    report_point(result, context, supply, p, where);
    if (has_bars(context.section)) add_phasors(result, context, p, where);
  };
  if (!context.section.rotor_winding.sides.empty()) report_rings(result, context, supply, runner, points.front());
  if (from_rest) report(points.front(), "locked rotor");
  report(most, "largest torque");
  if (rated) report(*rated, "rated speed");
  if (rated && from_rest) report_ratios(result, context, points.front(), most, *rated);
  std::vector<FieldAtSlip> seen;
  for (const SlipPoint& p : points) seen.push_back({p.slip, p.field.current, p.field.torque});
  std::reverse(points.begin(), points.end());  // slip rising
  if (points.size() > 1) {
    result.results.curves.push_back(curve_of(context, points));
    if (has_bars(context.section)) result.results.curves.push_back(vector_curve(context, points));
  }
  add_circuits(result, context, circuit_frame(context.section, supply), supply.voltage, seen);
  result.frame_axis = {"slip", "", "curve", "torque", "slip at held voltage"};
  warn_of_supply(result, context.name, supply);
  return result;
}

}  // namespace polepitch
