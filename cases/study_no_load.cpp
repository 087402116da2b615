// no-load: a machine with a cage at synchronous speed under a rising voltage: current, power factor, magnetising
// reactance and iron loss.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/slip_points.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "post/gap_quantities.h"
#include "post/induction_tests.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
const double kRms = 1 / std::sqrt(2.0);

struct Request {
  CageSupply supply;
  std::vector<double> voltages;  // V, peak of a phase, rising
  size_t reported = 0;           // the supply's own among them
  bool iron_loss = false;
  double friction = 0;  // W
};

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = cage_supply_parameters();
  list.front().sentence = "Line-to-line terminal voltage that is reported, r.m.s.; rated when it is not given.";
  list.push_back({.name = "voltages",
                  .form = Form::quantity_list,
                  .kind = Kind::voltage,
                  .unit = "V",
                  .lower = 0.1,
                  .upper = 1e6,
                  .optional = true,
                  .sentence = "Line-to-line voltages of the curve; 0.1, 0.2 … 1.2 of the reported one when they are "
                              "not given."});
  list.push_back(frequency_parameter("Frequency of the supply; the rated one when it is not given."));
  list.push_back(cage_iron_loss_parameter());
  list.push_back({.name = "friction_loss",
                  .kind = Kind::power,
                  .unit = "W",
                  .lower = 0,
                  .upper = 1e9,
                  .optional = true,
                  .sentence =
                      "Friction and windage at synchronous speed, which no field knows; it adds to the power and "
                      "to the current in phase with the voltage."});
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  check_cage_machine(kase, section, study, "a no-load study");
  Request r;
  r.supply = read_cage_supply(kase, section, study);
  r.iron_loss = wants_iron_loss(kase, section, study);
  if (study.values.has("friction_loss")) r.friction = study.values.number("friction_loss");
  if (study.values.has("voltages"))
    for (double v : study.values.numbers("voltages")) r.voltages.push_back(phase_peak(kase, v));
  else
    for (int k = 1; k <= 12; ++k) r.voltages.push_back(0.1 * k * r.supply.voltage);
  std::erase_if(r.voltages, [&](double v) { return std::abs(v - r.supply.voltage) < 1e-9 * r.supply.voltage; });
  r.voltages.push_back(r.supply.voltage);
  std::sort(r.voltages.begin(), r.voltages.end());
  r.voltages.erase(std::unique(r.voltages.begin(), r.voltages.end()), r.voltages.end());
  r.reported =
      static_cast<size_t>(std::find(r.voltages.begin(), r.voltages.end(), r.supply.voltage) - r.voltages.begin());
  return r;
}

CageExcitation at_voltage(const Request& r, double voltage) {
  CageExcitation e = excitation_of(r.supply, 0);
  e.supply = voltage;
  return e;
}

/// r.m.s. of a phase; the iron's current stands beside the field's, in phase with the voltage, and does not act back.
struct NoLoad {
  double voltage = 0, emf = 0, magnetising = 0, x_1 = 0, x_m = 0, b = 0, copper = 0;
  IronLoss iron;
  Complex current;
  double input = 0, factor = 0;
};

NoLoad figures(const StudyContext& context, const Request& r, const SlipPoint& p, SlipRunner& runner) {
  NoLoad n;
  const double phases = phase_count(context.section);
  n.voltage = kRms * std::abs(p.field.voltage);
  n.x_1 = stator_leakage(p);
  const Complex field = kRms * p.field.current;
  const Complex emf = kRms * p.field.voltage - Complex{r.supply.resistance, n.x_1} * field;
  n.emf = std::abs(emf);
  n.magnetising = std::abs(field);
  n.x_m = n.emf / n.magnetising;
  n.b = std::abs(fundamental_radial(runner.fields().field().instant(p.field).gap, context.section.pole_pairs));
  if (r.iron_loss) n.iron = iron_loss_of(context, p);
  n.current = field + (n.iron.total() + r.friction) / (phases * n.voltage * n.voltage) * (kRms * p.field.voltage);
  n.copper = phases * r.supply.resistance * std::norm(field);
  n.input = n.copper + n.iron.total() + r.friction;
  n.factor = n.input / (phases * n.voltage * std::abs(n.current));
  return n;
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const SlipPoint& p, const NoLoad& n) {
  const double line = line_voltage(context.kase, r.supply.voltage);
  Recorder out(result, context.name, {{"voltage", format_quantity(Kind::voltage, line, "V")}, {"slip", "0"}}, 1);
  const std::string field = "time-harmonic field at synchronous speed", split = "the field's split";
  out.add("U_phase", n.voltage, "given");
  out.add("I_no_load", std::abs(n.current), field).key_result = true;
  out.add("I_no_load_ratio", std::abs(n.current) / (kRms * per_unit_base(context.kase.machine).current), field);
  out.add("power_factor", n.factor, r.iron_loss ? "copper and iron loss" : "copper loss alone").key_result = true;
  out.add("P_terminal", n.input, r.iron_loss ? "copper and iron loss" : "copper loss alone");
  out.add("copper_loss_stator", n.copper, "R I^2");
  out.add("E_gap", n.emf, split);
  out.add("i_magnetising", n.magnetising / kRms, field);
  out.add("X_m", n.x_m, split).key_result = true;
  out.add("X_1", n.x_1, split).key_result = true;
  out.add("X_no_load", TestPoint{p.field.voltage, p.field.current}.reactance(), "no-load test").key_result = true;
  out.add("B_r1", n.b, field);
  if (!r.iron_loss) return;
  out.add("iron_loss", n.iron.total(), kIronLossMethod).key_result = true;
  IronLossParts sum = n.iron.stator;
  sum.add(n.iron.rotor);
  out.add("hysteresis_loss", sum.hysteresis, kIronLossMethod);
  out.add("classical_loss", sum.classical, kIronLossMethod);
  out.add("excess_loss", sum.excess, kIronLossMethod);
  out.add("R_fe", phase_count(context.section) * n.emf * n.emf / n.iron.total(), kIronLossMethod).key_result = true;
}

/// What the test's evaluation makes of the powers: below half of the voltage a straight line over its square.
void report_separation(StudyResult& result, const StudyContext& context, const Request& r,
                       const std::vector<NoLoad>& points) {
  const NoLoad& at = points[r.reported];
  std::vector<double> voltage, power;
  for (const NoLoad& n : points)
    if (n.voltage < 0.55 * at.voltage) voltage.push_back(n.voltage), power.push_back(n.input - n.copper);
  if (voltage.size() < 3 || at.input <= at.copper) return;
  Recorder out(result, context.name, {{"voltage", "below half of the reported one"}}, 1);
  const std::string how = "least squares over the square of the voltage";
  const double friction = friction_by_intercept(voltage, power);
  if (r.friction > 0) out.add("friction_loss", r.friction, "given").exact = true;
  out.add("friction_loss_test", friction, how);
  out.add("iron_loss_test", at.input - at.copper - friction, how);
}

ResultCurve curve_of(const StudyContext& context, const Request& r, const std::vector<NoLoad>& points) {
  ResultCurve curve{context.name, "curve", "No load at synchronous speed, over the line voltage", {}, false};
  Column line{"voltage", "V", {}}, current{"I_no_load", "A", {}}, x_m{"X_m", "ohm", {}}, factor{"power_factor", "", {}},
      b{"B_r1", "T", {}}, iron{"iron_loss", "W", {}}, copper{"copper_loss_stator", "W", {}},
      emf{"E_gap", "V", {}, false}, magnetising{"i_magnetising", "A", {}, false}, x_1{"X_1", "ohm", {}, false};
  for (const NoLoad& n : points) {
    line.values.push_back(line_voltage(context.kase, n.voltage / kRms));
    current.values.push_back(std::abs(n.current));
    x_m.values.push_back(n.x_m);
    factor.values.push_back(n.factor);
    b.values.push_back(n.b);
    iron.values.push_back(n.iron.total());
    copper.values.push_back(n.copper);
    emf.values.push_back(n.emf);
    magnetising.values.push_back(n.magnetising / kRms);
    x_1.values.push_back(n.x_1);
  }
  curve.columns = {line, current, x_m, factor, b, copper};
  if (r.iron_loss) curve.columns.push_back(iron);
  curve.columns.insert(curve.columns.end(), {emf, magnetising, x_1});
  return curve;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  SlipRunner runner(context, r.supply.ends);
  std::vector<CageExcitation> excitations;
  for (double voltage : r.voltages) excitations.push_back(at_voltage(r, voltage));
  const std::vector<SlipPoint> points = runner.at(excitations, 0, 0.9);
  StudyResult result;
  std::vector<NoLoad> curve;
  for (const SlipPoint& p : points) curve.push_back(figures(context, r, p, runner));
  report(result, context, r, points[r.reported], curve[r.reported]);
  report_separation(result, context, r, curve);
  result.frames.push_back(runner.frame(points[r.reported], 0));
  if (points.size() > 1) result.results.curves.push_back(curve_of(context, r, curve));
  if (!r.iron_loss)
    result.results.warnings.push_back(context.name +
                                      ": without iron loss: the power factor is that of the copper loss alone");
  warn_of_supply(result, context.name, r.supply);
  return result;
}

std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Request r = read(kase, section, study);
  return cage_states(kase, section, r.supply.ends, {at_voltage(r, r.supply.voltage)});
}

}  // namespace

StudyType no_load_study() {
  return {
      "no-load",
      "A machine with a cage at synchronous speed, the voltage rising: current, power factor, magnetising reactance "
      "as it saturates, iron loss and its resistance.",
      parameters(),
      run,
      [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
      true,
      states};
}

}  // namespace polepitch
