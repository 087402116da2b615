#include "cases/characteristic_studies.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/cogging.h"
#include "cases/emf_waveform.h"
#include "cases/study_list.h"

namespace polepitch {
namespace {

const At kAtRated = {{"voltage", "rated"}};

double rms(Phasor peak) {
  return std::abs(peak) / std::sqrt(2.0);
}

/// The curve as columns; `per_unit` of `base`.
void add_curve(CharacteristicRun& run, const std::string& name, const std::string& title, const MonotoneCurve& curve,
               const Column& column, const std::vector<double>* air_gap = nullptr) {
  ResultCurve out{run.context.name, name, title, {}, false};
  out.columns = {{"field_current", "A", curve.x()}, column};
  out.columns.back().values = curve.y();
  if (air_gap) out.columns.push_back({"air_gap_line", column.unit, *air_gap});
  run.result.results.curves.push_back(out);
}

void warn(CharacteristicRun& run, const std::string& text) {
  run.result.results.warnings.push_back(run.context.name + ": " + text);
}

void keep_frame(CharacteristicRun& run, const SteadyPoint& point) {
  const int position = 0;
  run.result.frames.push_back({run.context.name, run.steady.excitation(point, position), run.steady.field(position),
                               static_cast<double>(run.result.frames.size())});
}

void report_no_load(CharacteristicRun& run) {
  NoLoadCurve& no_load = *run.no_load;
  const double u = run.rated.voltage;
  Recorder out(run.result, run.context.name, kAtRated, run.plan.positions);
  if (no_load.reaches(u)) {
    out.add("i_field_no_load", no_load.field_current(u), "solved at rated voltage").key_result = true;
    out.add("i_field_air_gap", no_load.line().current(u), "steepest line from the origin").key_result = true;
  } else {
    warn(run, fmt::format("rated phase voltage, {:.5g} V, is not reached: {:.5g} V at {:.5g} A", u,
                          no_load.curve().y().back(), no_load.curve().x().back()));
  }
  // 1.2 first: its point takes part in the curve that S(1.0) is read from as well.
  if (no_load.reaches(1.2 * u)) no_load.field_current(1.2 * u);
  if (no_load.reaches(u))
    out.add("saturation_factor", saturation_factor(no_load.curve(), no_load.line(), u), "no-load curve, air-gap line")
        .key_result = true;
  if (no_load.reaches(1.2 * u))
    out.add("saturation_factor_120", saturation_factor(no_load.curve(), no_load.line(), 1.2 * u),
            "no-load curve, air-gap line")
        .key_result = true;
  out.add("air_gap_slope", no_load.line().slope, "steepest line from the origin");
}

}  // namespace

CharacteristicRun::CharacteristicRun(StudyContext& study_context, const CharacteristicPlan& study_plan)
    : context(study_context),
      plan(study_plan),
      rated(rated_of(study_context.kase)),
      steady(study_context, steady_options(study_context, study_plan.positions, study_plan.resistance)) {}

void CharacteristicRun::open_circuit(double from, double to) {
  const bool wound = field_branch(context.section) >= 0;
  double i_f = plan.field_current;
  At at = {{"field", "magnets"}};
  if (wound) {
    no_load.emplace(steady, plan.points, plan.largest_voltage * rated.voltage);
    report_no_load(*this);
    std::vector<double> line;
    for (double x : no_load->curve().x()) line.push_back(no_load->line().slope * x);
    add_curve(*this, "no_load", "Phase voltage on no load at rated speed against the field current", no_load->curve(),
              {"no_load_voltage", "V", {}}, &line);
    if (no_load->reaches(rated.voltage))
      result.results.constructions.push_back(
          saturation_construction({no_load->curve(), {}, {}, no_load->line(), rated.voltage, rated.current}));
    at = kAtRated;
    if (i_f > 0) at = {{"field_current", fmt::format("{:.6g} A", i_f)}};
    if (i_f == 0)
      i_f = no_load->reaches(rated.voltage) ? no_load->field_current(rated.voltage) : no_load->curve().x().back();
  }
  context.progress(from + 0.4 * (to - from));
  const SteadyPoint point = steady.at(0, i_f);
  keep_frame(*this, point);
  Recorder out(result, context.name, at, plan.positions);
  out.add("E_phase", rms(point.voltage), "omega times linkage").key_result = true;
  if (steady.phases() == 3) {
    const double line = per_unit_base(context.kase.machine).star ? std::sqrt(3.0) : 1;
    out.add("E_line", line * rms(point.voltage), "omega times linkage").key_result = true;
  }
  EmfRequest emf{i_f, plan.emf_positions, at};
  if (plan.emf_positions > 0) add_emf(context, emf, result, from + 0.4 * (to - from), from + 0.8 * (to - from));
  Load load;
  load.field_current = i_f;
  add_cogging(context, load, plan.cogging_angles, result, from + 0.8 * (to - from), to, at);
}

void CharacteristicRun::short_circuit() {
  Recorder out(result, context.name, {{"current", "rated"}}, plan.positions);
  if (field_branch(context.section) < 0) {
    Terminal terminal;
    terminal.given = Terminal::Given::load_angle;
    const SteadyPoint point = steady.solve(terminal);
    keep_frame(*this, point);
    Recorder magnets(result, context.name, {{"field", "magnets"}}, plan.positions);
    magnets.add("I_short_circuit", rms(point.current), "terminals at 0 V").key_result = true;
    magnets.add_mean("torque_mean", point.torques, "annulus harmonics");
    return;
  }
  short_curve = short_circuit_curve(steady, rated, plan.points, plan.largest_current);
  keep_frame(*this, short_curve.rated);
  out.add("i_field_short_circuit", short_curve.i_fk, "terminals at 0 V").key_result = true;
  add_curve(*this, "short_circuit", "Armature current on sustained short circuit against the field current",
            short_curve.curve, {"phase_current", "A", {}});
}

void CharacteristicRun::zero_power_factor() {
  zero_curve = zero_power_factor_curve(steady, rated, short_curve, plan.points, std::min(1.1, plan.largest_voltage));
  if (!zero_curve.stopped.empty()) warn(*this, "the zero-power-factor curve ends early: " + zero_curve.stopped);
  if (zero_curve.curve.x().empty()) return;
  add_curve(*this, "zero_power_factor",
            "Phase voltage at rated current and zero power factor, over-excited, against the field current",
            zero_curve.curve, {"phase_voltage", "V", {}});
  if (zero_curve.i_fa <= 0) return;
  Recorder out(result, context.name, {{"voltage", "rated"}, {"current", "rated"}}, plan.positions);
  out.add("i_field_zero_power_factor", zero_curve.i_fa, "rated voltage and current, no active power").key_result = true;
}

namespace {

void report_potier(CharacteristicRun& run, const ShortCircuitRatio& ratio, const PotierTriangle& t) {
  const double base = per_unit_base(run.context.kase.machine).impedance;
  const NoLoadCurve& no_load = *run.no_load;
  const CharacteristicCurves curves{no_load.curve(), run.short_curve.curve, run.zero_curve.curve,
                                    no_load.line(),  run.rated.voltage,     run.rated.current};
  Recorder out(run.result, run.context.name, {{"voltage", "rated"}, {"current", "rated"}}, run.plan.positions);
  out.add_reactance("X_potier", {t.reactance()}, base, "Potier's triangle").key_result = true;
  out.add("i_field_armature_reaction", t.armature_reaction(), "Potier's triangle");
  auto& constructions = run.result.results.constructions;
  constructions.push_back(potier_construction(curves, ratio, t));
  const GeneratorLoad load{run.rated.voltage, run.rated.current,
                           run.context.kase.machine.rating.values.number("power_factor"),
                           run.steady.options().resistance};
  Recorder at_load(run.result, run.context.name, {{"load", "rated, generator, over-excited"}}, run.plan.positions);
  const PotierDiagram d = potier_diagram(no_load.curve(), t, load);
  at_load.add("i_field_rated_potier", d.i_f, "Potier's diagram").key_result = true;
  constructions.push_back(potier_diagram_construction(curves, ratio, t, load, d));
  const SaturationIncrement s = saturation_increment(no_load.curve(), no_load.line(), ratio.i_fk, t, load);
  at_load.add("i_field_rated_increment", s.i_f, "saturation increment at E_p").key_result = true;
  constructions.push_back(increment_construction(ratio, s));
}

/// Potier's corner, solved there until it stays: the no-load curve is read at its own points only.
std::optional<PotierTriangle> solved_triangle(CharacteristicRun& run, const ShortCircuitRatio& ratio) {
  std::optional<PotierTriangle> triangle;
  for (int step = 0; step < 6; ++step) {
    triangle = potier_triangle(run.no_load->curve(), run.no_load->line(), ratio.i_fk, run.zero_curve.i_fa,
                               run.rated.voltage, run.rated.current);
    if (!triangle) return triangle;
    const double found = run.no_load->solve_at(triangle->i_fc);
    if (std::abs(found - triangle->u_c) < run.steady.options().field_rest * found) break;
  }
  return triangle;
}

}  // namespace

void CharacteristicRun::constructions() {
  const double u = rated.voltage;
  if (!no_load->reaches(u)) return;
  const ShortCircuitRatio ratio{no_load->field_current(u), no_load->line().current(u), short_curve.i_fk};
  const double base = per_unit_base(context.kase.machine).impedance;
  Recorder out(result, context.name, kAtRated, plan.positions);
  out.add_reactance("X_d_unsaturated", {base * ratio.unsaturated()}, base, "short-circuit curve, air-gap line")
      .key_result = true;
  out.add_reactance("X_d_saturated", {base * ratio.saturated()}, base, "short-circuit curve, no-load curve")
      .key_result = true;
  out.add("short_circuit_ratio", ratio.ratio(), "no-load curve, short-circuit curve").key_result = true;
  const CharacteristicCurves curves{no_load->curve(), short_curve.curve, zero_curve.curve, no_load->line(), u,
                                    rated.current};
  result.results.constructions.push_back(short_circuit_construction(curves, ratio));
  if (zero_curve.i_fa <= 0) return;
  const std::optional<PotierTriangle> triangle = solved_triangle(*this, ratio);
  if (triangle)
    report_potier(*this, ratio, *triangle);
  else
    warn(*this, "no Potier reactance: the no-load curve hardly bends under rated voltage");
}

}  // namespace polepitch
