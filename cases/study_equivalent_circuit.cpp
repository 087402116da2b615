// equivalent-circuit: the circuit of a machine with a cage from its fields: magnetising reactance over saturation,
// rotor elements over slip, and constant elements fitted to half of the slips, judged at the other half.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/cage_circuit.h"
#include "cases/slip_points.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "post/monotone_curve.h"
#include "post/slip_elements.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
const double kRms = 1 / std::sqrt(2.0);

struct Request {
  CageSupply supply;
  std::vector<double> slips;  // falling, motoring
  double rated = 0;
  bool iron_loss = false;
};

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = cage_supply_parameters();
  list.push_back(frequency_parameter("Frequency of the supply; the rated one when it is not given."));
  list.push_back({.name = "slips",
                  .form = Form::quantity_list,
                  .lower = 1e-5,
                  .upper = 10,
                  .optional = true,
                  .sentence =
                      "Motoring slips, of which every second one is fitted and the others judge the fit; 42 from "
                      "1 to 0.002 in equal ratios when they are not given."});
  list.push_back(cage_iron_loss_parameter());
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  check_cage_machine(kase, section, study, "an equivalent circuit");
  Request r;
  r.supply = read_cage_supply(kase, section, study);
  r.iron_loss = wants_iron_loss(kase, section, study);
  r.rated = rated_slip(kase, section);
  if (study.values.has("slips"))
    r.slips = study.values.numbers("slips");
  else
    for (int k = 0; k < 42; ++k) r.slips.push_back(std::pow(0.002, k / 41.0));
  std::sort(r.slips.begin(), r.slips.end(), std::greater<>());
  r.slips.erase(std::unique(r.slips.begin(), r.slips.end()), r.slips.end());
  if (r.slips.size() < 6)
    throw InputError(fmt::format("{}.slips has {} different values; a fit of one cage takes 6 at least, of two 12",
                                 study.path, r.slips.size()),
                     "give more slips, or leave the key out", study.values.place("slips"));
  return r;
}

/// The magnetising branch at synchronous speed, r.m.s.
struct Saturation {
  std::vector<double> emf, current;  // V, A
  std::vector<double> x_1;           // ohm
  MonotoneCurve current_at;          // over the EMF, from 0 on
  double x_m(double e) const { return e / current_at.at(e); }
};

Saturation saturation_of(const std::vector<SlipPoint>& points, double r_1) {
  Saturation s;
  for (const SlipPoint& p : points) {
    const double x_1 = stator_leakage(p);
    s.x_1.push_back(x_1);
    s.emf.push_back(kRms * std::abs(p.field.voltage - Complex{r_1, x_1} * p.field.current));
    s.current.push_back(kRms * std::abs(p.field.current));
  }
  std::vector<double> e = {0}, i = {0};
  e.insert(e.end(), s.emf.begin(), s.emf.end());
  i.insert(i.end(), s.current.begin(), s.current.end());
  s.current_at = MonotoneCurve(e, i);
  return s;
}

SlipElements elements_of(const SlipPoint& p, const Saturation& saturation) {
  const CageExcitation& e = p.field.excitation;
  const double x_1 = stator_leakage(p);
  const double emf = kRms * std::abs(p.field.voltage - Complex{e.resistance, x_1} * p.field.current);
  return elements_at(p.slip, p.field.voltage / p.field.current, e.resistance, x_1, saturation.x_m(emf));
}

ResultCurve saturation_curve(const StudyContext& context, const Saturation& s) {
  ResultCurve curve{context.name, "saturation", "Magnetising reactance at synchronous speed over the EMF", {}, false};
  Column e{"E_gap", "V", s.emf}, x_m{"X_m", "ohm", {}}, x_1{"X_1", "ohm", s.x_1, false}, i{"I_m", "A", s.current};
  for (size_t k = 0; k < s.emf.size(); ++k) x_m.values.push_back(s.emf[k] / s.current[k]);
  curve.columns = {e, x_m, i, x_1};
  return curve;
}

/// `elements` by falling slip.
ResultCurve element_curve(const StudyContext& context, const std::vector<SlipElements>& elements) {
  ResultCurve curve{
      context.name, "elements", "Elements that reproduce the field at each slip, T and inverse-Γ form", {}, false};
  const auto column = [&](const char* name, double SlipElements::*member, bool drawn) {
    Column c{name, name == std::string("slip") ? "" : "ohm", {}, drawn};
    for (size_t k = elements.size(); k-- > 0;) c.values.push_back(elements[k].*member);
    curve.columns.push_back(c);
  };
  column("slip", &SlipElements::slip, true);
  column("R_2", &SlipElements::r_2, true);
  column("X_2", &SlipElements::x_2, true);
  column("X_1", &SlipElements::x_1, true);
  column("R_R", &SlipElements::r_R, true);
  column("X_sigma", &SlipElements::x_sigma, true);
  column("X_m", &SlipElements::x_m, false);
  column("X_M", &SlipElements::x_M, false);
  return curve;
}

void report_rotor(StudyResult& result, const StudyContext& context, const SlipElements& e, const std::string& where) {
  Recorder out(result, context.name, {{"point", where}}, 1);
  const std::string split = "the field's split", rest = "what the field's impedance leaves";
  out.add("slip", e.slip, "given");
  out.add("X_1", e.x_1, split);
  out.add("X_m", e.x_m, "of no load at the same EMF");
  out.add("R_2_slip", e.r_2, rest).key_result = true;
  out.add("X_2_slip", e.x_2, rest).key_result = true;
  out.add("X_sigma_slip", e.x_sigma, rest);
  out.add("X_M_slip", e.x_M, rest);
  out.add("R_R_slip", e.r_R, rest);
}

void report_no_load(StudyResult& result, const StudyContext& context, const Request& r, const SlipPoint& p,
                    const Saturation& s, size_t at) {
  Recorder out(result, context.name, {{"point", "synchronous speed"}}, 1);
  out.add("U_phase", kRms * r.supply.voltage, "given");
  out.add("E_gap", s.emf[at], "the field's split");
  out.add("X_1", s.x_1[at], "the field's split").key_result = true;
  out.add("X_m", s.emf[at] / s.current[at], "the field's split").key_result = true;
  if (!r.iron_loss) return;
  const double iron = iron_loss_of(context, p).total();
  out.add("iron_loss", iron, kIronLossMethod);
  out.add("R_fe", phase_count(context.section) * s.emf[at] * s.emf[at] / iron, kIronLossMethod).key_result = true;
}

constexpr int kVoltages = 12, kRated = 9;  // tenths of the voltage; the tenth is the whole

std::vector<CageExcitation> excitations_of(const Request& r) {
  std::vector<CageExcitation> list;
  for (double slip : r.slips) list.push_back(excitation_of(r.supply, slip));
  if (r.rated > 0) list.push_back(excitation_of(r.supply, r.rated));
  for (int k = 1; k <= kVoltages; ++k) {
    list.push_back(excitation_of(r.supply, 0));
    list.back().supply *= k / (kRated + 1.0);
  }
  return list;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Request r = read(context.kase, context.section, study);
  SlipRunner runner(context, r.supply.ends);
  const std::vector<SlipPoint> all = runner.at(excitations_of(r), 0, 0.95);
  const std::vector<SlipPoint> points(all.begin(), all.begin() + static_cast<long>(r.slips.size())),
      open(all.end() - kVoltages, all.end());
  const Saturation saturation = saturation_of(open, r.supply.resistance);
  StudyResult result;
  report_no_load(result, context, r, open[kRated], saturation, kRated);
  std::vector<SlipElements> elements;
  std::vector<FieldAtSlip> seen;
  for (const SlipPoint& p : points) {
    elements.push_back(elements_of(p, saturation));
    seen.push_back({p.slip, p.field.current, p.field.torque});
  }
  if (r.rated > 0) report_rotor(result, context, elements_of(all[r.slips.size()], saturation), "rated speed");
  report_rotor(result, context, elements.front(), points.front().slip == 1 ? "locked rotor" : "largest slip");
  add_circuits(result, context, circuit_frame(context.section, r.supply), r.supply.voltage, seen);
  result.results.curves.push_back(element_curve(context, elements));
  result.results.curves.push_back(saturation_curve(context, saturation));
  warn_of_supply(result, context.name, r.supply);
  return result;
}

std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Request r = read(kase, section, study);
  return cage_states(kase, section, r.supply.ends,
                     {excitation_of(r.supply, r.slips.front()), excitation_of(r.supply, r.rated > 0 ? r.rated : 0.03)});
}

}  // namespace

StudyType equivalent_circuit_study() {
  return {
      "equivalent-circuit",
      "The circuit of a machine with a cage from its fields: R_1, X_1, X_m over saturation, R_2 and X_2 over slip in "
      "T and inverse-gamma form, R_fe, and constant single-cage and double-cage circuits fitted to half of the "
      "slips and judged at the other half.",
      parameters(),
      run,
      [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
      true,
      states,
      {},
      false,
      [](const Case& kase, const Section& section, const Block& study) {
        const Request r = read(kase, section, study);
        return skin_limits(kase, section, r.slips.front() * r.supply.omega);
      }};
}

}  // namespace polepitch
