// load-point: terminal voltage, power and power factor (or field current) given; field current, load angle, torque
// angle, currents and powers, by Newton steps on the field, and the phasor diagram.
#include <algorithm>
#include <cmath>
#include <optional>

#include "cases/cage_load_point.h"
#include "cases/field_iron_loss.h"
#include "cases/load.h"
#include "cases/load_point.h"
#include "cases/operating_chart.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/mmf.h"
#include "post/phasor_diagram.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

constexpr double kDegree = pi / 180;
const double kRms = 1 / std::sqrt(2.0);
const char* const kNewton = "Newton on the field";

/// Everything at the load point that the report needs while the fields are still those of the point.
struct Solved {
  SteadyPoint point;
  FrozenInductances frozen;
  SteadyPoint no_load;
  MmfVectors mmf;           // A, at the first position
  double torque_angle = 0;  // rad
  bool from_d_axis = false;
  std::optional<IronLoss> iron;
  double synchronising = 0;  // N m/rad
};

std::vector<double> times(std::vector<double> values, double factor) {
  for (double& v : values) v *= factor;
  return values;
}

void report_terminal(Recorder& out, const StudyContext& context, const LoadPointRequest& request,
                     const SteadyState& state, const Solved& s) {
  const Phasor power = (request.generator ? -1.0 : 1.0) * complex_power(s.point, state.phases());
  out.add("U_phase", kRms * std::abs(s.point.voltage), "given");
  out.add("I_phase", kRms * std::abs(s.point.current), request.power_factor ? "given" : kNewton).key_result = true;
  out.add("P_terminal", power.real(), "given");
  const char* const factor = request.power_factor ? "given" : kNewton;
  out.add("Q_terminal", power.imag(), factor);
  out.add("power_factor", std::abs(power) > 0 ? power.real() / std::abs(power) : 0, factor).key_result =
      !request.power_factor;
  if (field_branch(context.section) >= 0) out.add("i_field", s.point.field_current, kNewton).key_result = true;
  out.add("load_angle", s.point.load_angle() / kDegree, kNewton).key_result = true;
  out.add("torque_angle", s.torque_angle / kDegree, s.from_d_axis ? "F_s from the rotor's d-axis" : "arg F_s - arg F_r")
      .key_result = true;
  out.add("synchronising_torque", s.synchronising, "incremental inductances of the field");
  out.add("F_s", std::abs(s.mmf.stator), "turns and currents");
  if (!s.from_d_axis) out.add("F_r", std::abs(s.mmf.rotor), "turns and currents, magnets as curl of M");
  out.add("i_d", s.point.current.real(), kNewton);
  out.add("i_q", s.point.current.imag(), kNewton);
  out.add_mean("lambda_d", s.point.lambda_d, "mean A over coil sides");
  out.add_mean("lambda_q", s.point.lambda_q, "mean A over coil sides");
}

void report_powers(Recorder& out, const StudyContext& context, const LoadPointRequest& request,
                   const SteadyState& state, const Solved& s) {
  const double speed = state.options().omega / context.section.pole_pairs, sense = request.generator ? -1 : 1;
  const double copper = 0.5 * state.phases() * state.options().resistance * std::norm(s.point.current);
  const double into = complex_power(s.point, state.phases()).real();
  out.add_mean("torque_mean", s.point.torques, "annulus harmonics").key_result = true;
  out.add_mean("P_shaft", times(s.point.torques, sense * speed), "torque times synchronous speed");
  out.add("copper_loss_stator", copper, "R I^2");
  out.add("power_balance", (into - copper - s.point.torque * speed) / per_unit_base(context.kase.machine).power,
          "terminal power less copper loss less torque times synchronous speed");
  const FieldWindingData winding = field_winding_data(context.section, context.kase.machine, context.kase.materials);
  const double field = winding.resistance * s.point.field_current * s.point.field_current;
  if (winding.resistance > 0) out.add("copper_loss_field", field, "R I^2");
  if (!s.iron) return;
  report_iron_loss(out, *s.iron);
  const double iron = s.iron->total(), terminal = sense * into;
  const double useful = request.generator ? terminal : terminal - copper - iron;
  const double supplied = request.generator ? terminal + copper + iron + field : terminal + field;
  if (useful > 0) out.add("efficiency", useful / supplied, "summation of losses").key_result = true;
}

/// Reactances of the frozen field, its own EMF, and the EMF on no load.
void report_frozen(Recorder& out, StudyResult& result, const StudyContext& context, const LoadPointRequest& request,
                   const SteadyState& state, const Solved& s) {
  const double omega = state.options().omega;
  LoadPhasors phasors{.voltage = kRms * s.point.voltage, .current = kRms * s.point.current};
  phasors.resistance = state.options().resistance;
  phasors.x_d = omega * s.frozen.apparent.dd;
  phasors.x_q = omega * s.frozen.apparent.qq;
  phasors.no_load_emf = kRms * omega * std::abs(s.no_load.linkage);
  phasors.generator = request.generator;
  PhasorDiagram diagram = phasor_diagram(phasors);
  diagram.study = context.name;
  diagram.title = "Phasor diagram of the load point";
  const double base = per_unit_base(context.kase.machine).impedance;
  out.add_reactance("X_d_apparent", {phasors.x_d}, base, "frozen reluctivity, mean over the positions");
  out.add_reactance("X_q_apparent", {phasors.x_q}, base, "frozen reluctivity, mean over the positions");
  out.add("E_frozen", std::abs(diagram.arrows[1].value), "U less the drops of the frozen reactances").key_result = true;
  out.add("E_0", phasors.no_load_emf, "omega times linkage").key_result = true;
  result.results.phasor_diagrams.push_back(std::move(diagram));
}

Solved solve(StudyContext& context, SteadyState& state, const LoadPointRequest& request, const Block& study,
             FluxDensityRecords& flux, StudyResult& result) {
  Solved s;
  s.point = solve_load_point(state, request, study);
  s.synchronising = synchronising_torque(state, s.point, context.section.pole_pairs);
  s.frozen = state.frozen();
  const std::vector<bool> keep = chosen_frames(context, static_cast<size_t>(request.positions));
  for (int k = 0; k < request.positions; ++k) {
    flux.add(static_cast<size_t>(k), context.fields.of(0), state.field(k));
    if (keep[static_cast<size_t>(k)])
      result.frames.push_back(
          {context.name, state.excitation(s.point, k), state.field(k), static_cast<double>(result.frames.size())});
  }
  s.mmf = mmf_vectors(context.section, mmf_moments(context.fields.of(0)), state.excitation(s.point, 0));
  const TorqueAngle angle = torque_angle(s.mmf, context.section.pole_pairs, state.field(0).rotor_angle);
  s.torque_angle = angle.angle;
  s.from_d_axis = angle.from_d_axis;
  if (request.loss_positions)
    s.iron = solve_iron_loss(context, {s.point.current.real(), s.point.current.imag(), s.point.field_current},
                             *request.loss_positions, state.options().omega / (2 * pi));
  s.no_load = state.at(0, s.point.field_current);
  return s;
}

StudyResult run(StudyContext& context, const Block& study) {
  if (has_bars(context.section)) return cage_load_point(context, study);
  const LoadPointRequest request = read_load_point(context.kase, context.section, study);
  SteadyState state(context, options_for(context, request));
  StudyResult result;
  FluxDensityRecords flux(context, static_cast<size_t>(request.positions));
  const Solved s = solve(context, state, request, study, flux, result);
  Recorder out(result, context.name, describe_load_point(context.kase, request), request.positions);
  report_terminal(out, context, request, state, s);
  report_powers(out, context, request, state, s);
  report_frozen(out, result, context, request, state, s);
  warn_beyond_rating(context, s.point, result);
  flux.finish(context, result);
  if (s.synchronising <= 0)
    result.results.warnings.push_back(context.name +
                                      ": this point lies past pull-out: at held field the torque falls as the load "
                                      "angle grows, and the machine slips");
  if (state.options().resistance == 0)
    result.results.warnings.push_back(context.name +
                                      ": the phase resistance is taken as 0: the case states neither conductors nor "
                                      "phase_resistance");
  return result;
}

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = load_point_parameters();
  list.push_back(optional_loss_positions());
  for (const Parameter& p : cage_load_parameters()) list.push_back(p);
  list.push_back(
      frequency_parameter("Frequency of a supplied machine with a cage; the rated one when it is not given."));
  return list;
}

void check(const Case& kase, const Section& section, const Block& study) {
  if (has_bars(section)) {
    read_cage_load(kase, section, study);
    return;
  }
  for (const char* key : {"torque", "shaft_power", "iron_loss", "frequency"})
    if (study.values.has(key))
      throw InputError(study.path + "." + key + " fits a rotor with a cage alone", "state the power at the terminals",
                       study.values.place(key));
  read_load_point(kase, section, study);
}

std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  return has_bars(section) ? cage_load_states(kase, section, study) : load_point_states(kase, section, study);
}

}  // namespace

StudyType load_point_study() {
  return {
      "load-point",
      "Terminal voltage, power and power factor given (or the field current instead; motor or generator): field "
      "current, load angle, torque angle, currents, EMF, powers and the phasor diagram, found on the field. A machine "
      "with a cage: the slip at given shaft torque, shaft power or terminal power.",
      parameters(),
      run,
      check,
      true,
      states,
      {},
      true,
      [](const Case& kase, const Section& section, const Block& study) {
        return has_bars(section) ? cage_load_edges(kase, section, study) : std::vector<double>();
      }};
}

}  // namespace polepitch
