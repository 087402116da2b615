#include "cases/cage_slip.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/cage_circuit.h"
#include "cases/cage_runner.h"
#include "cases/load.h"
#include "cases/pull_out.h"
#include "cases/study_tools.h"
#include "post/cage_ends.h"
#include "post/dq.h"
#include "post/mmf.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double kDegree = pi / 180;
const double kRms = 1 / std::sqrt(2.0);

struct SlipPoint {
  double slip = 0;
  CageSolution field;
  double torque_angle = 0;  // rad, arg F_s − arg F_r
  Complex f_s, f_r;         // A, MMF vectors
};

/// Everything at a point that follows from its field.
struct Figures {
  double speed = 0, input = 0, shaft = 0, copper = 0, factor = 0, efficiency = 0, rotor_phase = 0;
};

/// Of all bars of the slot on the d-axis.
Complex first_slot_current(const Section& section, const CageSolution& s) {
  Complex sum = 0;
  size_t bar = 0;
  const Branch* first = nullptr;
  for (const Branch& branch : section.branches) {
    if (branch.kind != BranchKind::bar || bar >= s.bars.size()) continue;
    if (first == nullptr) first = &branch;
    if (std::abs(branch.angle - first->angle) < 1e-9) sum += s.bars[bar];
    ++bar;
  }
  return sum;
}

Figures figures_of(const SlipPoint& p, const Section& section, int phases) {
  Figures f;
  const CageExcitation& e = p.field.excitation;
  f.speed = (1 - p.slip) * e.omega / section.pole_pairs;
  const Complex power = 0.5 * phases * e.supply * std::conj(p.field.current);
  f.input = power.real();
  f.shaft = p.field.torque * f.speed;
  f.copper = 0.5 * phases * e.resistance * std::norm(p.field.current);
  f.factor = std::abs(power) > 0 ? power.real() / std::abs(power) : 0;
  if (f.input > 0 && f.shaft > 0) f.efficiency = f.shaft / f.input;
  if (f.input < 0 && f.shaft < 0) f.efficiency = f.input / f.shaft;
  // The first bar lies on the d-axis, where the working wave of A has half its amplitude in this phasor.
  const Complex emf = Complex{0, -p.slip * e.omega} * p.field.inner;
  const Complex current = first_slot_current(section, p.field);
  if (std::abs(current) > 0) f.rotor_phase = std::arg(emf / current);
  return f;
}

/// Currents of every branch at t = 0.
Excitation currents_at_start(const Section& section, const CageSolution& s) {
  Excitation e;
  e.currents.resize(section.branches.size());
  size_t bar = 0;
  for (size_t b = 0; b < section.branches.size(); ++b) {
    const Branch& branch = section.branches[b];
    if (branch.kind == BranchKind::phase)
      e.currents[b] = std::real(s.current * std::polar(1.0, -section.pole_pairs * branch.angle));
    if (branch.kind == BranchKind::bar && bar < s.bars.size()) e.currents[b] = s.bars[bar++].real();
  }
  return e;
}

CageExcitation excitation_of(const CageSlipRequest& r, double slip) {
  return {r.omega, slip, true, r.voltage, r.resistance, r.end_inductance};
}

/// Fields with their MMFs.
class Runner {
 public:
  Runner(StudyContext& context, const CageSlipRequest& request)
      : context_(context),
        request_(request),
        runner_(context, request.ring),
        moments_(mmf_moments(context.fields.of(0))) {}

  std::vector<SlipPoint> at(const std::vector<double>& slips) {
    std::vector<CageExcitation> excitations;
    for (double slip : slips) excitations.push_back(excitation_of(request_, slip));
    std::vector<SlipPoint> points;
    for (CageSolution& s : runner_.solve(excitations, 0, 0.8)) points.push_back(point_of(std::move(s)));
    return points;
  }
  SlipPoint at(double slip, const SlipPoint& near) {
    context_.progress(0.8);
    return point_of(runner_.solve(excitation_of(request_, slip), near.field));
  }
  FieldFrame frame(const SlipPoint& p, size_t number) {
    return {context_.name,
            currents_at_start(context_.section, p.field),
            runner_.field().instant(p.field),
            static_cast<double>(number),
            p.slip,
            p.field.torque};
  }

 private:
  SlipPoint point_of(CageSolution field) const {
    SlipPoint p{field.excitation.slip, std::move(field), 0, {}, {}};
    const MmfVectors mmf = mmf_vectors(context_.section, moments_, currents_at_start(context_.section, p.field));
    p.f_s = mmf.stator;
    p.f_r = mmf.rotor;
    p.torque_angle = torque_angle(mmf, context_.section.pole_pairs, 0).angle;
    return p;
  }
  StudyContext& context_;
  CageSlipRequest request_;
  CageRunner runner_;
  MmfMoments moments_;
};

/// Largest torque in `sense` near the best of the points, its slip to 1e-3 of itself.
SlipPoint breakdown(Runner& runner, const std::vector<SlipPoint>& points) {
  const auto best = std::max_element(points.begin(), points.end(), [](const SlipPoint& a, const SlipPoint& b) {
    return a.field.torque < b.field.torque;
  });
  if (best == points.begin() || best + 1 == points.end()) return *best;
  SlipPoint last = *best;
  const auto torque = [&](double log_slip) {
    last = runner.at(std::exp(log_slip), last);
    return last.field.torque;
  };
  const SlipPoint &before = *(best - 1), &after = *(best + 1);
  if (after.slip <= 0) return *best;
  const Bracket bracket{std::log(after.slip), std::log(best->slip), std::log(before.slip),
                        after.field.torque,   best->field.torque,   before.field.torque};
  const Peak peak = search_peak(torque, bracket, 1e-3);
  if (std::log(last.slip) != peak.at) torque(peak.at);
  return last;
}

void report_point(StudyResult& result, const StudyContext& context, const CageSlipRequest& request, const SlipPoint& p,
                  const std::string& where) {
  const Figures f = figures_of(p, context.section, phase_count(context.section));
  At at = {{"voltage", fmt::format("{:.6g} V a phase", kRms * request.voltage)}, {"point", where}};
  Recorder out(result, context.name, at, 1);
  const std::string how = "time-harmonic field, gap coupling: fundamental";
  out.add("slip", p.slip, where == "largest torque" ? "Brent's search" : "given");
  out.add("torque_mean", p.field.torque, how).key_result = true;
  out.add("I_phase", kRms * std::abs(p.field.current), how).key_result = true;
  out.add("power_factor", f.factor, how).key_result = true;
  out.add("P_shaft", f.shaft, "torque times speed");
  out.add("P_terminal", f.input, how);
  if (f.efficiency > 0)
    out.add("efficiency_cage", f.efficiency, "without iron, friction and additional loss").key_result = true;
  out.add("copper_loss_stator", f.copper, "R I^2");
  out.add("cage_loss", p.field.bar_loss + p.field.ring_loss, "bars by field, rings by their resistance");
  out.add("ring_loss", p.field.ring_loss, "R I^2 of the segments");
  out.add("rotor_frequency", std::abs(p.slip) * request.omega / (2 * pi), "slip times supply frequency");
  out.add("torque_angle", p.torque_angle / kDegree, "arg F_s - arg F_r").key_result = true;
  out.add("rotor_phase_angle", f.rotor_phase / kDegree, "bar's EMF of the gap against its current");
  out.add(
      "gap_power_balance",
      (p.slip * request.omega / context.section.pole_pairs * p.field.torque - p.field.bar_loss - p.field.ring_loss) /
          per_unit_base(context.kase.machine).power,
      "slip times gap power less cage loss");
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
      frequency{"rotor_frequency", "Hz", {}, false}, bar{"I_bar", "A", {}, false};
  for (const SlipPoint& p : points) {
    const Figures f = figures_of(p, context.section, phase_count(context.section));
    slip.values.push_back(p.slip);
    torque.values.push_back(p.field.torque);
    current.values.push_back(kRms * std::abs(p.field.current));
    factor.values.push_back(f.factor);
    efficiency.values.push_back(f.efficiency);
    loss.values.push_back(p.field.bar_loss + p.field.ring_loss);
    speed.values.push_back(f.speed * 30 / pi);
    frequency.values.push_back(std::abs(p.slip) * p.field.excitation.omega / (2 * pi));
    bar.values.push_back(kRms * std::abs(first_slot_current(context.section, p.field)));
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
    const Figures f = figures_of(p, context.section, phase_count(context.section));
    slip.values.push_back(p.slip);
    f_s.values.push_back(std::abs(p.f_s));
    f_r.values.push_back(std::abs(p.f_r));
    angle.values.push_back(p.torque_angle / kDegree);
    rotor.values.push_back(f.rotor_phase / kDegree);
    ratio.values.push_back(std::tan(f.rotor_phase));
  }
  curve.columns = {slip, f_s, f_r, angle, rotor, ratio};
  return curve;
}

}  // namespace

std::vector<Parameter> cage_slip_parameters() {
  return {{.name = "voltage",
           .kind = Kind::voltage,
           .unit = "V",
           .lower = 0.1,
           .upper = 1e6,
           .optional = true,
           .sentence = "Line-to-line terminal voltage of a machine with a cage, r.m.s.; rated when it is not given."},
          {.name = "phase_resistance",
           .kind = Kind::resistance,
           .unit = "ohm",
           .lower = 0,
           .upper = 1e4,
           .optional = true,
           .sentence = "Resistance of a phase of a machine with a cage; the winding's own when it is not given."}};
}

CageSlipRequest read_cage_slip(const Case& kase, const Section& section, const Block& study) {
  const Values& v = study.values;
  std::vector<Diagnostic> faults;
  for (const char* key : {"phase_current", "supply", "gap_coupling", "rotor_angle"})
    if (v.has(key) && v.given(key))
      faults.push_back({v.place(key),
                        fmt::format("{}.{} does not fit a cage: its winding is fed by the voltage of all "
                                    "phases, with the fundamental alone across the gap",
                                    study.path, key),
                        "leave the key out"});
  if (!faults.empty()) throw InputError(faults);
  const PerUnitBase base = per_unit_base(kase.machine);
  CageSlipRequest r;
  r.omega = v.has("frequency") ? 2 * pi * v.number("frequency") : base.omega;
  r.voltage = base.voltage;
  if (v.has("voltage")) r.voltage = v.number("voltage") * std::sqrt(2.0) / (base.star ? std::sqrt(3.0) : 1);
  const WindingData winding = winding_data(section, kase.machine, kase.materials);
  r.resistance = v.has("phase_resistance") ? v.number("phase_resistance") : winding.resistance;
  r.end_inductance = winding.end_inductance;
  r.ring = cage_ends(section, kase.machine.rotor, kase.materials, kase.machine.general.values.number("temperature"));
  const double synchronous = r.omega / section.pole_pairs;
  if (v.has("speeds"))
    for (double speed : v.numbers("speeds")) r.slips.push_back(1 - speed / synchronous);
  if (v.has("slips")) r.slips = v.numbers("slips");
  if (r.slips.empty())
    r.slips = {1, 0.8, 0.6, 0.5, 0.4, 0.3, 0.25, 0.2, 0.16, 0.13, 0.1, 0.08, 0.06, 0.045, 0.03, 0.02, 0.01, 1e-3};
  std::sort(r.slips.begin(), r.slips.end(), std::greater<>());
  const Values& rating = kase.machine.rating.values;
  if (rating.has("speed")) r.rated_slip = 1 - rating.number("speed") / (base.omega / section.pole_pairs);
  return r;
}

std::vector<Excitation> cage_states(const Case& kase, const Section& section, const Block& study) {
  const CageSlipRequest request = read_cage_slip(kase, section, study);
  const Mesh mesh = mesh_section(section, {0.3});
  SolverOptions options;
  options.tolerance = 1e-5;
  CageField field(section, mesh, kase.materials, request.ring, options);
  std::vector<Excitation> states;
  CageSolution last;
  for (double slip : {request.slips.front(), request.rated_slip != 0 ? request.rated_slip : 0.03}) {
    last = field.solve(excitation_of(request, slip), last.a.empty() ? nullptr : &last);
    const CageSolution& s = last;
    for (double phase : {0.3, 1.3}) {
      CageSolution turned = s;  // another instant of both sides' currents
      turned.current *= std::polar(1.0, phase);
      for (Complex& bar : turned.bars) bar *= std::polar(1.0, phase);
      states.push_back(currents_at_start(section, turned));
      states.back().rotor_angle = 0;
    }
  }
  return states;
}

StudyResult cage_slip(StudyContext& context, const Block& study) {
  const CageSlipRequest request = read_cage_slip(context.kase, context.section, study);
  Runner runner(context, request);
  const std::vector<bool> keep = chosen_frames(context, request.slips.size());
  StudyResult result;
  std::vector<double> slips = request.slips;
  if (request.rated_slip != 0) slips.push_back(request.rated_slip);
  std::vector<SlipPoint> points = runner.at(slips);
  std::optional<SlipPoint> rated;
  if (request.rated_slip != 0) {
    rated = std::move(points.back());
    points.pop_back();
  }
  for (size_t k = 0; k < points.size(); ++k)
    if (keep[k]) result.frames.push_back(runner.frame(points[k], result.frames.size()));
  const SlipPoint most = breakdown(runner, points);
  const bool from_rest = points.front().slip == 1;
  if (from_rest) report_point(result, context, request, points.front(), "locked rotor");
  report_point(result, context, request, most, "largest torque");
  if (rated) report_point(result, context, request, *rated, "rated speed");
  if (rated && from_rest) report_ratios(result, context, points.front(), most, *rated);
  std::vector<FieldAtSlip> seen;
  for (const SlipPoint& p : points) seen.push_back({p.slip, p.field.current, p.field.torque});
  std::reverse(points.begin(), points.end());  // slip rising
  if (points.size() > 1) {
    result.results.curves.push_back(curve_of(context, points));
    result.results.curves.push_back(vector_curve(context, points));
  }
  InductionCircuit circuit;
  circuit.phases = phase_count(context.section);
  circuit.pole_pairs = context.section.pole_pairs;
  circuit.omega = request.omega;
  circuit.r_1 = request.resistance;
  add_circuits(result, context, circuit, request.voltage, seen);
  result.frame_axis = {"slip", "", "curve", "torque", "slip at held voltage"};
  if (request.ring.ring.resistance == 0)
    result.results.warnings.push_back(context.name +
                                      ": the end rings are taken without resistance: the rotor states no ring_height, "
                                      "ring_width and ring_mean_diameter");
  if (request.resistance == 0)
    result.results.warnings.push_back(context.name +
                                      ": the phase resistance is taken as 0: the case states neither "
                                      "conductors nor phase_resistance");
  return result;
}

}  // namespace polepitch
