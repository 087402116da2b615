#include "cases/stepped_synchronous.h"

#include <fmt/format.h>

#include <cmath>

#include "cases/load.h"
#include "cases/study_tools.h"
#include "post/damper_rings.h"
#include "post/dq.h"
#include "post/winding_data.h"

namespace polepitch {

double SteppedSynchronous::period() const {
  return 2 * pi / omega;
}

std::vector<Parameter> stepped_synchronous_parameters() {
  std::vector<Parameter> list = load_point_parameters();
  for (Parameter& p : list)
    if (p.name == "positions") p.fallback = "6";
  list.push_back({.name = "field_resistance",
                  .kind = Kind::resistance,
                  .unit = "ohm",
                  .lower = 0,
                  .upper = 1e6,
                  .optional = true,
                  .sentence = "Resistance of the field winding; that of its coils when it is not given."});
  list.push_back(
      {.name = "field_end_inductance",
       .kind = Kind::inductance,
       .unit = "H",
       .lower = 0,
       .upper = 1e6,
       .fallback = "0 H",
       .sentence = "Inductance of the field winding's coil ends and supply, beside the field of the section."});
  list.push_back({.name = "rotor_angle",
                  .kind = Kind::angle,
                  .unit = "deg",
                  .lower = -360,
                  .upper = 360,
                  .fallback = "0 deg",
                  .sentence = "Mechanical angle of the rotor's d-axis from the axis of phase A when the steps start."});
  list.push_back({.name = "steps_per_period",
                  .form = Form::integer,
                  .lower = 20,
                  .upper = 20000,
                  .fallback = "60",
                  .sentence = "Fewest steps in time to a period of rated frequency."});
  list.push_back({.name = "step_tolerance",
                  .lower = 1e-8,
                  .upper = 1e-2,
                  .fallback = "5e-4",
                  .sentence = "Error of a step: of linkages over the rated one, and of eddy fields alike."});
  return list;
}

namespace {

/// Damper bars and what joins them; damper bars apart from one another where nothing does.
BarRing ring_of(const Case& kase, const Section& section) {
  const double temperature = kase.machine.general.values.number("temperature");
  BarRing ring;
  for (const RingPiece& piece : damper_rings(section, kase.machine, kase.materials, temperature)) {
    ring.pieces.push_back({piece.resistance, piece.inductance});
    ring.joined.push_back(piece.joined);
  }
  if (!ring.pieces.empty()) return ring;
  for (const Branch& branch : section.branches)
    if (branch.kind == BranchKind::damper) {
      ring.pieces.push_back({});
      ring.joined.push_back(false);
    }
  return ring;
}

}  // namespace

SteppedSynchronous read_stepped_synchronous(const Case& kase, const Section& section, const Block& study) {
  if (field_branch(section) < 0 || phase_count(section) == 0 || has_bars(section))
    throw InputError(
        fmt::format("{}, a {} study, needs a stator winding and a rotor with a field winding", study.path, study.type),
        "give the machine a [winding] and a [rotor] such as \"salient-pole\"", study.place);
  const Values& v = study.values;
  SteppedSynchronous m;
  m.point = read_load_point(kase, section, study);
  m.omega = rated_omega(kase);
  m.field_resistance = v.has("field_resistance") ? v.number("field_resistance")
                                                 : field_winding_data(section, kase.machine, kase.materials).resistance;
  m.field_end_inductance = v.number("field_end_inductance");
  m.rotor_angle = v.number("rotor_angle");
  m.steps_per_period = v.integer("steps_per_period");
  m.tolerance = v.number("step_tolerance");
  m.ring = ring_of(kase, section);
  if (m.field_resistance <= 0)
    throw InputError(study.path + ".field_resistance is missing: this rotor's coil ends are not known",
                     "state the resistance of the field winding at its temperature", study.place);
  const bool star = per_unit_base(kase.machine).star;
  if (!star && phase_count(section) != 3)
    throw InputError(fmt::format("{}: a delta of {} phases cannot be stepped", study.path, phase_count(section)),
                     "rate the machine in star", study.place);
  m.stator.connection = star ? StatorCircuit::Connection::star : StatorCircuit::Connection::delta;
  const WindingData winding = winding_data(section, kase.machine, kase.materials);
  m.stator.resistance = m.point.resistance.value_or(winding.resistance);
  m.stator.inductance = winding.end_inductance;
  return m;
}

SynchronousStart synchronous_start(StudyContext& context, const SteppedSynchronous& machine, const SteadyPoint& point) {
  SynchronousStart start{point, {}, {}};
  start.excitation = dq_excitation(context.section, {point.current.real(), point.current.imag(), 0},
                                   point.field_current, machine.rotor_angle);
  start.field = context.fields.of(0).solve(start.excitation);
  return start;
}

TransientField stepped_field(const StudyContext& context, const SteppedSynchronous& machine) {
  TransientOptions options;
  options.field.temperature = context.kase.machine.general.values.number("temperature");
  options.linkage_scale = machine.point.voltage / machine.omega;
  return {context.section, context.mesh, context.kase.materials, machine.ring, options};
}

Circuits circuits_of(const StudyContext& context, const SteppedSynchronous& machine, double field_current,
                     std::function<std::vector<double>(double)> source) {
  StatorCircuit stator = machine.stator;
  stator.source = std::move(source);
  return machine_circuits(
      context.section, stator,
      {machine.field_resistance, machine.field_end_inductance, machine.field_resistance * field_current});
}

std::function<std::vector<double>(double)> terminal_source(const StudyContext& context, const SteppedSynchronous& m,
                                                           const SteadyPoint& point) {
  const bool delta = m.stator.connection == StatorCircuit::Connection::delta;
  const double phase = context.section.pole_pairs * m.rotor_angle + std::arg(point.voltage);
  const double size = std::abs(point.voltage);
  return balanced_source(context.section, delta ? size / std::sqrt(3.0) : size, m.omega,
                         delta ? phase - pi / 6 : phase);
}

ResultCurve synchronous_log(const StudyContext& context, const std::string& title) {
  ResultCurve log{context.name, "time", title, {}, false};
  log.columns = {
      {"time", "s", {}}, {"rotor_angle", "deg", {}, false}, {"speed", "rpm", {}, false}, {"torque", "N m", {}}};
  for (const Branch& b : context.section.branches)
    if (b.kind == BranchKind::phase) log.columns.push_back({"i_" + b.name, "A", {}});
  log.columns.push_back({"i_field", "A", {}, false});
  log.columns.push_back({"P_sources", "W", {}, false});
  log.columns.push_back({"P_damper", "W", {}, false});
  return log;
}

std::vector<double> synchronous_row(const StudyContext& context, double sense, const TransientField& field,
                                    const TransientState& state) {
  std::vector<double> row = {state.time, state.angle * 180 / pi, state.speed * 30 / pi, state.torque};
  const std::vector<double> currents = field.branch_currents(state);
  for (size_t b = 0; b < currents.size(); ++b)
    if (context.section.branches[b].kind == BranchKind::phase) row.push_back(sense * currents[b]);
  row.push_back(currents[static_cast<size_t>(field_branch(context.section))]);
  row.push_back(state.power.source);
  row.push_back(state.power.eddy + state.power.ring);
  return row;
}

}  // namespace polepitch
