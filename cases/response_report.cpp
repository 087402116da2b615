#include "cases/response_report.h"

#include <fmt/format.h>

#include <cmath>

#include "post/axis_fit.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double kDegree = pi / 180;

/// Everything that is derived from one response, in the stator's units.
struct Analysis {
  double omega = 0, base = 0;              // rated; ohm
  double leakage = 0;                      // H
  double ratio = 0, field_resistance = 0;  // i_fb/i_b; R_fd [ohm]
  std::vector<AxisFit> d, q;
  size_t chosen_d = 0, chosen_q = 0;
};

/// The field winding on the stator's side: k = L_ad/L_df, R_fd = (2/m) k² R_f, and jωG of a field voltage there.
double g_factor(const Analysis& a, const ResponseRequest& r) {
  return a.field_resistance / (a.ratio * r.circuit.field_resistance);
}

AxisResponse axis_response(const Analysis& a, const ResponseRequest& r, const Response& response, bool d) {
  AxisResponse axis;
  axis.leakage = a.leakage;
  axis.synchronous = std::real(d ? response.direct.d : response.direct.q);
  axis.omega = r.omega;
  for (const OperationalInductances& l : response.mean) axis.inductance.push_back(d ? l.d : l.q);
  if (!d || !r.circuit.field) return axis;
  axis.field_resistance = a.field_resistance;
  for (size_t k = 0; k < r.omega.size(); ++k)  // u_f on the stator's side is (2/m) k u_f
    axis.transfer.push_back(Complex{0, r.omega[k]} * response.mean[k].g / g_factor(a, r));
  return axis;
}

/// No more circuits than there is something for: a further one would have no end.
std::vector<AxisFit> fits_of(const AxisResponse& response, const std::vector<AxisStructure>& structures) {
  constexpr double kNothingLeft = 1e-6;
  std::vector<AxisFit> fits;
  for (const AxisStructure& s : structures) {
    if (!fits.empty() && fits.back().deviation < kNothingLeft) break;
    fits.push_back(fit_axis(response, s));
  }
  return fits;
}

/// By what the coarser mesh chose, where it did: both meshes must report the same circuits.
size_t decided(StudyContext& context, const std::string& name, const std::vector<AxisFit>& fits, double enough) {
  const std::vector<double>* before = context.forerun ? context.forerun->decision(name) : nullptr;
  const size_t choice = before && !before->empty() ? std::min(fits.size() - 1, static_cast<size_t>(before->front()))
                                                   : choose_structure(fits, enough);
  if (context.keeps) context.keeps->keep_decision(name, {static_cast<double>(choice)});
  return choice;
}

Analysis analyse(StudyContext& context, const ResponseRequest& r, const Response& response, const std::string& state) {
  Analysis a;
  a.omega = r.rated_omega;
  a.base = per_unit_base(context.kase.machine).impedance;
  a.leakage = response.leakage / a.omega;
  const double l_ad = std::real(response.direct.d) - a.leakage, l_aq = std::real(response.direct.q) - a.leakage;
  if (r.circuit.field) {
    a.ratio = l_ad / (2.0 / r.circuit.phases * std::real(response.direct.af));
    a.field_resistance = 2.0 / r.circuit.phases * a.ratio * a.ratio * r.circuit.field_resistance;
  }
  if (!(a.leakage > 0 && l_ad > 0 && l_aq > 0)) return a;
  const AxisResponse d = axis_response(a, r, response, true), q = axis_response(a, r, response, false);
  a.q = fits_of(q, {{0, false}, {1, false}, {2, false}});
  a.d = r.circuit.field ? fits_of(d, {{1, false}, {2, false}, {2, true}}) : fits_of(d, {{0, false}, {1, false}});
  a.chosen_d = decided(context, context.name + "/" + state + "/d", a.d, r.enough);
  a.chosen_q = decided(context, context.name + "/" + state + "/q", a.q, r.enough);
  return a;
}

struct Writer {
  StudyResult& result;
  const StudyContext& context;
  const ResponseRequest& request;
  const Response& response;
  const Analysis& a;
  const At& at;
  std::string state;

  Recorder recorder(const At& more = {}) const {
    At all = at;
    all.insert(all.end(), more.begin(), more.end());
    return {result, context.name, all, request.load.positions};
  }
};

void report_elements(Recorder out, const Analysis& a, const AxisFit& fit, bool d, bool wound) {
  const std::string how = "least squares over the frequencies";
  const auto reactance = [&](const char* name, double henry) {
    out.add_reactance(name, {a.omega * henry}, a.base, how);
  };
  const auto resistance = [&](const char* name, double ohm) { out.add_reactance(name, {ohm}, a.base, how); };
  size_t k = 0;
  if (d && wound) {
    reactance("X_fd", fit.circuit.rotor[0].inductance);
    out.add_reactance("R_fd", {fit.circuit.rotor[0].resistance}, a.base, "reciprocal base");
    k = 1;
  }
  if (fit.structure.unequal) reactance("X_f1d", fit.circuit.series);
  const char* const x[2][2] = {{"X_1q", "X_2q"}, {"X_1d", "X_1d"}};
  const char* const r[2][2] = {{"R_1q", "R_2q"}, {"R_1d", "R_1d"}};
  for (size_t n = 0; k < fit.circuit.rotor.size() && n < 2; ++k, ++n) {
    if (d && n > 0) break;  // without a field winding a second damper has no name of the standard's
    reactance(x[d][n], fit.circuit.rotor[k].inductance);
    resistance(r[d][n], fit.circuit.rotor[k].resistance);
  }
  out.add(d ? "fit_deviation_d" : "fit_deviation_q", fit.deviation, how);
  if (d && wound) out.add("fit_deviation_g", fit.transfer_deviation, how);
}

std::string structure_name(const AxisFit& fit, bool d) {
  return fmt::format("{} rotor circuit{} on {}{}", fit.structure.circuits, fit.structure.circuits == 1 ? "" : "s",
                     d ? "d" : "q", fit.structure.unequal ? ", unequal mutuals" : "");
}

/// A single circuit that is no field winding is a damper: its values are the subtransient ones.
void report_constants(Recorder out, const Analysis& a, const AxisCircuit& circuit, bool d, bool wound) {
  const AxisConstants c = axis_constants(circuit);
  const std::string how = "roots and residues of the fitted circuit";
  const std::string axis = d ? "d" : "q";
  const auto report = [&](size_t k, const std::string& kind) {
    out.add_reactance("X_" + axis + "_" + kind, {a.omega * c.inductance[k]}, a.base, how).key_result = true;
    out.add("T_" + axis + "o_" + kind, c.open[k], how).key_result = true;
    out.add("T_" + axis + "_" + kind, c.closed[k], how).key_result = true;
  };
  const size_t count = c.inductance.size();
  if (count == 1) report(0, d && wound ? "transient" : "subtransient");
  if (count == 2) report(0, "transient"), report(1, "subtransient");
}

void report_field(const Writer& w) {
  Recorder out = w.recorder();
  const double omega = w.a.omega, base = w.a.base;
  std::vector<double> d, q, mutual;
  for (const OperationalInductances& l : w.response.direct_positions) {
    d.push_back(omega * std::real(l.d));
    q.push_back(omega * std::real(l.q));
    mutual.push_back(2.0 / w.request.circuit.phases * std::real(l.af));
  }
  const std::string how = "frequency 0 of the response";
  out.add_reactance("X_d_incremental", d, base, how).key_result = true;
  out.add_reactance("X_q_incremental", q, base, how).key_result = true;
  out.add_reactance("X_l", {omega * w.a.leakage}, base,
                    w.request.leakage ? "given" : "mean of both axes' leakage, field's split");
  out.add_reactance("X_ad", {omega * (std::real(w.response.direct.d) - w.a.leakage)}, base, "X_d_incremental - X_l");
  out.add_reactance("X_aq", {omega * (std::real(w.response.direct.q) - w.a.leakage)}, base, "X_q_incremental - X_l");
  const double x_2 = 0.5 * omega * std::real(w.response.twice.d + w.response.twice.q);
  out.add_reactance("X_2", {x_2}, base, "mean of L_d and L_q at twice rated frequency: currents given").key_result =
      true;
  if (w.request.phase_resistance > 0) out.add("T_a", x_2 / (omega * w.request.phase_resistance), "X_2/(omega R)");
  if (!w.request.circuit.field) return;
  out.add_mean("L_afo", mutual, "frequency 0 of the response");
  out.add("field_base_ratio", w.a.ratio, "X_ad/X_df");
}

void report_circuits(const Writer& w) {
  const bool wound = w.request.circuit.field;
  for (bool d : {true, false}) {
    const std::vector<AxisFit>& fits = d ? w.a.d : w.a.q;
    const AxisFit& chosen = fits[d ? w.a.chosen_d : w.a.chosen_q];
    report_constants(w.recorder(), w.a, chosen.circuit, d, wound);
    w.recorder()
        .add(d ? "rotor_circuits_d" : "rotor_circuits_q", chosen.structure.circuits, "fewest that are good enough")
        .exact = true;
    report_elements(w.recorder(), w.a, chosen, d, wound);
    for (const AxisFit& fit : fits)
      report_elements(w.recorder({{"structure", structure_name(fit, d)}}), w.a, fit, d, wound);
    if (chosen.deviation > w.request.enough)
      w.result.results.warnings.push_back(
          fmt::format("{}: no circuit with two rotor circuits on the {}-axis follows the field to {:g}: the best one "
                      "deviates by {:.2g} (rms)",
                      w.context.name, d ? 'd' : 'q', w.request.enough, chosen.deviation));
  }
}

Column column(const std::string& name, const std::string& unit, size_t count, const std::function<double(size_t)>& of) {
  Column c{name, unit, {}};
  for (size_t k = 0; k < count; ++k) c.values.push_back(of(k));
  return c;
}

Column frequencies(const Writer& w) {
  return column("frequency", "Hz", w.request.omega.size(), [&](size_t k) { return w.request.omega[k] / (2 * pi); });
}

/// Magnitude and phase of the field's L and of the chosen circuit's.
void axis_curve(const Writer& w, bool d) {
  const std::string axis = d ? "d" : "q", symbol = "L_" + axis;
  const auto& mean = w.response.mean;
  const size_t count = mean.size();
  const auto field = [&](size_t k) { return d ? mean[k].d : mean[k].q; };
  ResultCurve curve{w.context.name,
                    axis + "_" + w.state,
                    "Operational inductance of the " + axis + "-axis: magnitude and phase over frequency",
                    {},
                    false};
  curve.columns = {frequencies(w), column(symbol, "mH", count, [&](size_t k) { return 1e3 * std::abs(field(k)); })};
  Column phase = column("phase_" + symbol, "deg", count, [&](size_t k) { return std::arg(field(k)) / kDegree; });
  const std::vector<AxisFit>& fits = d ? w.a.d : w.a.q;
  std::vector<Column> phases = {phase};
  if (!fits.empty()) {
    const AxisCircuit& c = fits[d ? w.a.chosen_d : w.a.chosen_q].circuit;
    const auto fitted = [&](size_t k) { return c.inductance({0, w.request.omega[k]}); };
    curve.columns.push_back(
        column(symbol + "_circuit", "mH", count, [&](size_t k) { return 1e3 * std::abs(fitted(k)); }));
    phases.push_back(
        column("phase_" + symbol + "_circuit", "deg", count, [&](size_t k) { return std::arg(fitted(k)) / kDegree; }));
  }
  if (d && w.request.circuit.field) {
    curve.columns.push_back(
        column("L_d_field_open", "mH", count, [&](size_t k) { return 1e3 * std::abs(mean[k].d_open); }));
    phases.push_back(
        column("phase_L_d_field_open", "deg", count, [&](size_t k) { return std::arg(mean[k].d_open) / kDegree; }));
  }
  curve.columns.insert(curve.columns.end(), phases.begin(), phases.end());
  w.result.results.curves.push_back(std::move(curve));
}

void transfer_curve(const Writer& w) {
  const auto& mean = w.response.mean;
  const size_t count = mean.size();
  ResultCurve curve{w.context.name,
                    "g_" + w.state,
                    "Armature linkage of the d-axis by the field winding's voltage, G(s): magnitude and phase",
                    {},
                    false};
  curve.columns = {frequencies(w), column("G", "s", count, [&](size_t k) { return std::abs(mean[k].g); })};
  Column phase = column("phase_G", "deg", count, [&](size_t k) { return std::arg(mean[k].g) / kDegree; });
  if (!w.a.d.empty()) {
    const AxisCircuit& c = w.a.d[w.a.chosen_d].circuit;
    const auto fitted = [&](size_t k) {
      const Complex s{0, w.request.omega[k]};
      return c.transfer(s) / s * g_factor(w.a, w.request);
    };
    curve.columns.push_back(column("G_circuit", "s", count, [&](size_t k) { return std::abs(fitted(k)); }));
    curve.columns.push_back(phase);
    curve.columns.push_back(
        column("phase_G_circuit", "deg", count, [&](size_t k) { return std::arg(fitted(k)) / kDegree; }));
  } else {
    curve.columns.push_back(phase);
  }
  // What the short-circuited winding answers with: the field current of 1 A of i_d.
  curve.columns.push_back(column("i_f_over_i_d", "A/A", count, [&](size_t k) {
    return w.request.omega[k] * std::abs(mean[k].g) * w.request.circuit.phases / 2.0;
  }));
  w.result.results.curves.push_back(std::move(curve));
}

void residual_curve(const Writer& w) {
  ResultCurve curve{w.context.name,
                    "residual_" + w.state,
                    "What each structure's inductance misses of the field's, over the latter's size",
                    {},
                    false};
  curve.columns = {frequencies(w)};
  for (bool d : {true, false})
    for (const AxisFit& fit : d ? w.a.d : w.a.q) {
      const std::string name =
          fmt::format("{}_axis_{}{}", d ? "d" : "q", fit.structure.circuits, fit.structure.unequal ? "_unequal" : "");
      curve.columns.push_back(
          column(name, "%", fit.residual.size(), [&](size_t k) { return 100 * std::abs(fit.residual[k]); }));
    }
  w.result.results.curves.push_back(std::move(curve));
}

void report_parts(const Writer& w) {
  constexpr double kNoticed = 0.01;  // of the apparent power
  for (const SolidPart& part : w.response.parts) {
    Recorder out = w.recorder({{"part", part.name}});
    const std::string how = "weighed with the loss, highest frequency";
    out.add("skin_depth", 1e3 * part.skin_depth, how);
    out.add("elements_per_skin_depth", part.elements_per_depth, how);
    out.add("solid_loss_share", part.loss_share, "field at the highest frequency");
    if (part.elements_per_depth * kCoarseSkinEdge < 1 && part.loss_share > kNoticed)
      w.result.results.warnings.push_back(fmt::format(
          "{}: {}: the mesh's edges where the loss is are {:.2g} times the skin depth at {:g} Hz, {:.2g} mm; "
          "the part takes {:.1f} % of the apparent power there. A smaller mesh.accuracy or highest_frequency helps",
          w.context.name, part.name, 1 / part.elements_per_depth, w.request.omega.back() / (2 * pi),
          1e3 * part.skin_depth, 100 * part.loss_share));
  }
}

}  // namespace

void report_response(StudyResult& result, StudyContext& context, const ResponseRequest& request,
                     const Response& response, const At& at, const std::string& state) {
  const Analysis a = analyse(context, request, response, state);
  const Writer w{result, context, request, response, a, at, state};
  report_field(w);
  if (!a.d.empty())
    report_circuits(w);
  else
    result.results.warnings.push_back(
        fmt::format("{}: X_l leaves no magnetising reactance of X_d or X_q: no circuit is "
                    "fitted; state another leakage_reactance",
                    context.name));
  axis_curve(w, true);
  axis_curve(w, false);
  if (request.circuit.field) transfer_curve(w);
  if (!a.d.empty()) residual_curve(w);
  report_parts(w);
  if (response.change > 1e-3)
    result.results.warnings.push_back(fmt::format(
        "{}: the response is known to {:.1e} only: its modes did not come to rest", context.name, response.change));
}

}  // namespace polepitch
