// v-curves: armature current against field current at constant terminal voltage, one curve a power.
#include <fmt/format.h>

#include <cmath>

#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/v_curves.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;
const double kRms = 1 / std::sqrt(2.0);

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = chart_parameters();
  list.push_back({.name = "powers",
                  .form = Form::quantity_list,
                  .kind = Kind::power,
                  .unit = "kW",
                  .lower = 0,
                  .upper = 2e6,
                  .optional = true,
                  .sentence =
                      "Active powers, one curve each; 0, 0.25, 0.5, 0.75 and 1 times the rated active power when "
                      "they are not given."});
  list.push_back({.name = "largest_current",
                  .lower = 0.2,
                  .upper = 3,
                  .fallback = "1.2",
                  .sentence = "Armature current up to which the curves go, over the rated current."});
  list.push_back({.name = "points",
                  .form = Form::integer,
                  .lower = 5,
                  .upper = 201,
                  .fallback = "9",
                  .sentence = "Reactive powers of each curve, equally spaced from over- to under-excited; odd, so that "
                              "0 is one of them."});
  return list;
}

double largest_apparent(const ChartRequest& request, const Block& study, const Case& kase) {
  const PerUnitBase base = per_unit_base(kase.machine);
  return study.values.number("largest_current") * base.power * request.at.voltage / base.voltage;
}

std::vector<double> powers_of(const ChartRequest& request, const Block& study) {
  if (study.values.has("powers")) return study.values.numbers("powers");
  std::vector<double> powers;
  for (int k = 0; k < 5; ++k) powers.push_back(0.25 * k * request.rated_active);
  return powers;
}

void check(const Case& kase, const Section& section, const Block& study) {
  const ChartRequest request = read_chart(kase, section, study);
  std::vector<Diagnostic> faults;
  if (study.values.integer("points") % 2 == 0)
    faults.push_back({study.values.place("points"),
                      fmt::format("{}.points = {} is even", study.path, study.values.integer("points")),
                      "an odd number has the point of power factor 1 among them"});
  const double largest = largest_apparent(request, study, kase);
  for (double power : powers_of(request, study))
    if (power >= largest)
      faults.push_back({study.values.place("powers"),
                        fmt::format("{}.powers: {:.5g} kW needs more than the largest current, {:.4g} times the rated "
                                    "one, which makes {:.5g} kW at power factor 1",
                                    study.path, 1e-3 * power, study.values.number("largest_current"), 1e-3 * largest),
                        "ask for less power, or raise largest_current"});
  if (!faults.empty()) throw InputError(faults);
}

ResultCurve table_of(const StudyContext& context, const std::vector<VCurve>& curves, const ChartRequest& request) {
  ResultCurve table{context.name, "points", "Points of the V-curves, power by power", {}, false};
  Column number{"point", "", {}}, power{"P_terminal", "W", {}}, reactive{"Q_terminal", "var", {}},
      field{"i_field", "A", {}}, current{"I_phase", "A", {}}, factor{"power_factor", "", {}},
      angle{"load_angle", "deg", {}}, hold{"synchronising_torque", "N m/rad", {}};
  for (const VCurve& curve : curves)
    for (const VCurvePoint& p : curve.points) {
      number.values.push_back(static_cast<double>(number.values.size() + 1));
      power.values.push_back(curve.power);
      reactive.values.push_back(request.sense() * p.reactive);
      field.values.push_back(p.point.field_current);
      current.values.push_back(kRms * std::abs(p.point.current));
      const double apparent = std::hypot(curve.power, p.reactive);
      factor.values.push_back(apparent > 0 ? curve.power / apparent : 0);
      angle.values.push_back(p.point.load_angle() / kDegree);
      hold.values.push_back(p.synchronising);
    }
  table.columns = {number, power, reactive, field, current, factor, angle, hold};
  for (Column& column : table.columns) column.drawn = false;  // the chart shows them
  return table;
}

void report(StudyResult& result, const StudyContext& context, const VCurve& curve, int positions) {
  Recorder out(result, context.name, {{"power", fmt::format("{:.6g} kW", 1e-3 * curve.power)}}, positions);
  for (const VCurvePoint& p : curve.points)
    if (p.reactive == 0 && p.stable()) {
      out.add("i_field_unity", p.point.field_current, "Newton on the field").key_result = true;
      out.add("I_phase", kRms * std::abs(p.point.current), "given power at power factor 1");
    }
  if (!curve.ends_unstable()) return;
  const StabilityEnd end = stability_end(curve);
  out.add("i_field_stability", end.field_current, "zero of the synchronising torque, between two points");
}

StudyResult run(StudyContext& context, const Block& study) {
  const ChartRequest request = read_chart(context.kase, context.section, study);
  SteadyState state(context, options_for(context, request.at));
  const double largest = largest_apparent(request, study, context.kase);
  const std::vector<double> powers = powers_of(request, study);
  StudyResult result;
  std::vector<VCurve> curves;
  for (size_t k = 0; k < powers.size(); ++k) {
    context.progress(static_cast<double>(k) / static_cast<double>(powers.size()));
    curves.push_back(
        v_curve(state, request, powers[k], largest, study.values.integer("points"), context.section.pole_pairs));
    if (curves.back().points.empty())
      throw ConvergenceError(
          fmt::format("{}: no point of the V-curve at {:.5g} kW is found", context.name, 1e-3 * powers[k]),
          "ask for less power or allow more field current");
    report(result, context, curves.back(), request.at.positions);
  }
  Construction chart = v_curve_chart(curves, 1 / (state.phases() * kRms * request.at.voltage), request.rated_active,
                                     kRms * per_unit_base(context.kase.machine).current);
  chart.study = context.name;
  result.results.constructions.push_back(std::move(chart));
  result.results.curves.push_back(table_of(context, curves, request));
  return result;
}

}  // namespace

StudyType v_curves_study() {
  return {"v-curves",
          "V-curves: armature current against field current at constant terminal voltage and active power, from "
          "over-excited through power factor 1 to the limit of stability or of the field, solved on the field.",
          parameters(),
          run,
          check,
          true,
          chart_states};
}

}  // namespace polepitch
