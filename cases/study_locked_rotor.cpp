// locked-rotor: a machine with a cage at standstill under given voltages or currents, at rated or reduced frequency,
// and the circuit that this test and the no-load test give.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "cases/slip_points.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "post/induction_tests.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
const double kRms = 1 / std::sqrt(2.0);

struct Request {
  CageSupply supply;          // at the test's frequency
  CageSupply rated;           // of the no-load test beside it
  std::vector<double> given;  // V of a phase or A, peak, rising
  bool by_voltage = true;
  double leakage_ratio = 1;
};

Parameter list_of(const char* name, Kind kind, const char* unit, double lower, const char* sentence) {
  return {.name = name,
          .form = Form::quantity_list,
          .kind = kind,
          .unit = unit,
          .lower = lower,
          .upper = 1e6,
          .optional = true,
          .sentence = sentence};
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = {
      list_of("voltages", Kind::voltage, "V", 0.1,
              "Line-to-line voltages of the test, r.m.s.; a quarter, half, three quarters and the whole of the rated "
              "one when neither they nor currents are given."),
      list_of("phase_currents", Kind::current, "A", 1e-6, "Phase currents of the test, r.m.s., instead of voltages."),
      frequency_parameter("Frequency of the test; the rated one when it is not given. IEEE Std 112 reduces it to a "
                          "quarter of the rated one at most, so that the bars' skin effect is near that of running.")};
  list.push_back(cage_supply_parameters().back());
  list.push_back({.name = "leakage_ratio",
                  .lower = 0.05,
                  .upper = 20,
                  .fallback = "1",
                  .sentence = "X_1 over X_2 with which the test's leakage is parted; IEEE Std 112 takes 1, 0.67 and "
                              "0.43 for cages of design A, B and C, 1 for design D and wound rotors."});
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  check_cage_machine(kase, section, study, "a locked-rotor study");
  const Values& v = study.values;
  if (v.has("voltages") && v.has("phase_currents"))
    throw InputError(study.path + ": both voltages and phase_currents are given", "leave one of the two out",
                     v.place("phase_currents"));
  Request r;
  r.supply = r.rated = read_cage_supply(kase, section, study);
  r.rated.omega = rated_omega(kase);
  r.leakage_ratio = v.number("leakage_ratio");
  r.by_voltage = !v.has("phase_currents");
  if (!r.by_voltage)
    for (double i : v.numbers("phase_currents")) r.given.push_back(i / kRms);
  else if (v.has("voltages"))
    for (double u : v.numbers("voltages")) r.given.push_back(phase_peak(kase, u));
  else
    for (double share : {0.25, 0.5, 0.75, 1.0}) r.given.push_back(share * r.supply.voltage);
  std::sort(r.given.begin(), r.given.end());
  r.given.erase(std::unique(r.given.begin(), r.given.end()), r.given.end());
  return r;
}

std::vector<CageExcitation> excitations_of(const Request& r) {
  std::vector<CageExcitation> list;
  for (double given : r.given) {
    CageExcitation e = excitation_of(r.supply, 1);
    e.supply = given;
    e.voltage_fed = r.by_voltage;
    list.push_back(e);
  }
  return list;
}

TestPoint test_of(const SlipPoint& p) {
  return {p.field.voltage, p.field.current, p.field.excitation.omega / (2 * pi)};
}

/// Elements of the circuit; nothing where no circuit of positive elements has these impedances (a warning).
void report_circuit(StudyResult& result, Recorder& out, const StudyContext& context, const Request& r,
                    const TestPoint& open, const TestPoint& locked) {
  try {
    const TestedCircuit c = circuit_of_tests(open, locked, r.supply.resistance, r.leakage_ratio);
    const std::string how = fmt::format("no-load and locked-rotor tests, X_1/X_2 = {:.4g}", r.leakage_ratio);
    out.add("X_1_test", c.x_1, how).key_result = true;
    out.add("X_2_test", c.x_2, how).key_result = true;
    out.add("X_m_test", c.x_m, how).key_result = true;
    out.add("R_2_test", c.r_2, how).key_result = true;
  } catch (const std::invalid_argument&) {
    result.results.warnings.push_back(context.name +
                                      ": no circuit of positive elements has the impedances of both tests; X_1_test "
                                      "and its fellows are left out");
  }
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const SlipPoint& p,
            const TestPoint& open) {
  const SlipFigures f = figures_of(p, context.section);
  const TestPoint test = test_of(p);
  At at = {{"frequency", format_quantity(Kind::frequency, test.frequency, "Hz")}};
  if (r.by_voltage)
    at.emplace_back("voltage",
                    format_quantity(Kind::voltage, line_voltage(context.kase, p.field.excitation.supply.real()), "V"));
  else
    at.emplace_back("phase_current", format_quantity(Kind::current, kRms * std::abs(p.field.current), "A"));
  Recorder out(result, context.name, at, 1);
  const std::string how = "time-harmonic field, gap coupling: fundamental", test_name = "locked-rotor test";
  out.add("U_phase", kRms * std::abs(p.field.voltage), r.by_voltage ? "given" : how);
  out.add("I_phase", kRms * std::abs(p.field.current), r.by_voltage ? how : "given").key_result = true;
  out.add("torque_mean", p.field.torque, how).key_result = true;
  out.add("P_terminal", f.input, how);
  out.add("power_factor", f.factor, how).key_result = true;
  out.add("copper_loss_stator", f.copper, "R I^2");
  out.add("cage_loss", p.field.rotor_loss(), "bars by field, rings and windings by their resistance");
  out.add("X_1", stator_leakage(p), "the field's split");
  out.add("R_locked", test.resistance(), test_name);
  out.add("X_locked", test.reactance(), test_name);
  out.add("X_locked_rated", test.reactance() * r.rated.omega / r.supply.omega, test_name).key_result = true;
  report_circuit(result, out, context, r, open, test);
}

ResultCurve curve_of(const StudyContext& context, const Request& r, const std::vector<SlipPoint>& points) {
  ResultCurve curve{context.name, "curve", "Locked rotor: leakage paths saturate with the current", {}, false};
  Column line{"voltage", "V", {}}, current{"I_phase", "A", {}}, torque{"torque", "N m", {}},
      factor{"power_factor", "", {}}, resistance{"R_locked", "ohm", {}}, reactance{"X_locked", "ohm", {}};
  for (const SlipPoint& p : points) {
    line.values.push_back(line_voltage(context.kase, std::abs(p.field.voltage)));
    current.values.push_back(kRms * std::abs(p.field.current));
    torque.values.push_back(p.field.torque);
    factor.values.push_back(figures_of(p, context.section).factor);
    resistance.values.push_back(test_of(p).resistance());
    reactance.values.push_back(test_of(p).reactance());
  }
  curve.columns = {current, line, torque, factor, resistance, reactance};
  if (r.by_voltage) std::swap(curve.columns[0], curve.columns[1]);
  return curve;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  SlipRunner runner(context, r.supply.ends);
  std::vector<CageExcitation> excitations = excitations_of(r);
  excitations.push_back(excitation_of(r.rated, 0));
  std::vector<SlipPoint> points = runner.at(excitations, 0, 0.9);
  const SlipPoint open = std::move(points.back());
  points.pop_back();
  StudyResult result;
  for (size_t k = points.size(); k-- > 0;) report(result, context, r, points[k], test_of(open));
  result.frames.push_back(runner.frame(points.back(), 0));
  if (points.size() > 1) result.results.curves.push_back(curve_of(context, r, points));
  warn_of_supply(result, context.name, r.supply);
  return result;
}

std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Request r = read(kase, section, study);
  return cage_states(kase, section, r.supply.ends, {excitations_of(r).back()});
}

}  // namespace

StudyType locked_rotor_study() {
  return {
      "locked-rotor",
      "A machine with a cage at standstill under given voltages or currents, at rated or reduced frequency: current, "
      "torque, power factor, and with the no-load test beside it the circuit that both tests give.",
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
