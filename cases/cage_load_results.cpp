// What a load point of a machine with a cage hands over.
#include <fmt/format.h>

#include <cmath>

#include "cases/cage_load_point.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "post/induction_phasors.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double kDegree = pi / 180;
const double kRms = 1 / std::sqrt(2.0);
const char* const kSearch = "slip searched on the field";

At describe(const StudyContext& context, const CageLoadRequest& r) {
  At at = {{"operation", r.generator ? "generator" : "motor"},
           {"voltage", format_quantity(Kind::voltage, line_voltage(context.kase, r.supply.voltage), "V")},
           {"frequency", format_quantity(Kind::frequency, r.supply.omega / (2 * pi), "Hz")}};
  if (r.given == CageLoad::torque)
    at.emplace_back("torque", format_quantity(Kind::torque, r.wanted, "N m"));
  else
    at.emplace_back(r.given == CageLoad::shaft_power ? "shaft_power" : "power",
                    format_quantity(Kind::power, r.wanted, "kW"));
  return at;
}

/// Powers in the reference of the operation: into a motor's terminals, out of a generator's.
void report_powers(Recorder& out, const StudyContext& context, const CageLoadRequest& r, const CageLoadPoint& at) {
  const SlipPoint& p = at.point;
  const SlipFigures f = figures_of(p, context.section);
  const double sense = r.generator ? -1 : 1, into = terminal_power(at, phase_count(context.section));
  const double cage = p.field.rotor_loss();
  out.add("torque_mean", p.field.torque, kSearch).key_result = true;
  out.add("P_shaft", sense * f.shaft, "torque times speed").key_result = true;
  out.add("P_terminal", sense * into, r.iron_loss ? "field and iron loss" : "field, without iron loss");
  out.add("copper_loss_stator", f.copper, "R I^2");
  out.add("cage_loss", cage, "bars by field, rings and windings by their resistance");
  out.add("ring_loss", p.field.ring_loss, "R I^2 of the segments");
  if (r.iron_loss) out.add("iron_loss", at.iron, kIronLossMethod);
  if (into * f.shaft > 0)
    out.add(r.iron_loss ? "efficiency" : "efficiency_cage", r.generator ? into / f.shaft : f.shaft / into,
            "without friction and additional loss")
        .key_result = true;
  out.add("cage_power_balance",
          (into - f.copper - at.iron - cage - f.shaft) / per_unit_base(context.kase.machine).power,
          "terminal power less losses less shaft power");
}

void report(StudyResult& result, const StudyContext& context, const CageLoadRequest& r, const CageLoadPoint& at) {
  const SlipPoint& p = at.point;
  const SlipFigures f = figures_of(p, context.section);
  const int phases = phase_count(context.section);
  const Complex current = current_with_iron(at, phases);
  const Complex power = 0.5 * phases * p.field.voltage * std::conj(current);
  Recorder out(result, context.name, describe(context, r), 1);
  out.add("slip", p.slip, kSearch).key_result = true;
  out.add("speed", f.speed * 30 / pi, kSearch).key_result = true;
  out.add("U_phase", kRms * std::abs(p.field.voltage), "given");
  out.add("I_phase", kRms * std::abs(current), kSearch).key_result = true;
  out.add("power_factor", std::abs(power.real()) / std::abs(power), kSearch).key_result = true;
  out.add("Q_terminal", (r.generator ? -1 : 1) * power.imag(), kSearch);
  report_powers(out, context, r, at);
  out.add("rotor_frequency", std::abs(p.slip) * r.supply.omega / (2 * pi), "slip times supply frequency");
  out.add("torque_angle", p.torque_angle / kDegree, "arg F_s - arg F_r").key_result = true;
  out.add("F_s", std::abs(p.f_s), "turns and currents");
  out.add("F_r", std::abs(p.f_r), "turns and currents");
  out.add("rotor_phase_angle", p.rotor_phase / kDegree, "bar's EMF of the gap against its current");
}

}  // namespace

StudyResult cage_load_point(StudyContext& context, const Block& study) {
  const CageLoadRequest r = read_cage_load(context.kase, context.section, study);
  SlipRunner runner(context, r.supply.ends);
  const CageLoadPoint at = solve_cage_load(context, runner, r, study);
  StudyResult result;
  report(result, context, r, at);
  const CageSolution& s = at.point.field;
  PhasorDiagram diagram = induction_phasor_diagram({kRms * s.voltage, kRms * s.current, kRms * at.point.rotor_current,
                                                    s.excitation.resistance, stator_leakage(at.point)});
  diagram.study = context.name;
  diagram.title = fmt::format("Phasor diagram of the load point: slip {:.4g}", at.point.slip);
  result.results.phasor_diagrams.push_back(std::move(diagram));
  result.frames.push_back(runner.frame(at.point, 0));
  if (!r.iron_loss) result.results.warnings.push_back(context.name + ": without iron loss");
  warn_of_supply(result, context.name, r.supply);
  return result;
}

}  // namespace polepitch
