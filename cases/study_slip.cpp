// slip: a solid rotor turning at given speeds under a supply of one frequency; torque, voltage and losses from
// time-harmonic fields.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/cage_slip.h"
#include "cases/load.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/two_line_slip.h"
#include "post/dq.h"
#include "solver/time_harmonic_field.h"

namespace polepitch {
namespace {

const double kRms = 1 / std::sqrt(2.0);

struct Request {
  double current = 0;  // A, peak
  bool one_phase = false;
  double omega = 0;            // rad/s
  std::vector<double> speeds;  // rad/s
  GapCoupling coupling = GapCoupling::own_frequency;
  double rotor_angle = 0;
};

std::vector<Parameter> parameters() {
  std::vector<Parameter> list;
  for (const Parameter& p : load_parameters())
    if (p.name == "phase_current" || p.name == "rotor_angle") list.push_back(p);
  list.push_back({.name = "supply",
                  .form = Form::choice,
                  .fallback = "all-phases",
                  .choices = {"all-phases", "one-phase", "two-lines"},
                  .sentence = "Whether every phase is fed, or (solid linear rotors) phase A alone, or (cages and wound "
                              "rotors) two lines with the third terminal open."});
  list.push_back(frequency_parameter("Frequency of the supply; the rated one when it is not given."));
  for (const Parameter& p : cage_supply_parameters()) list.push_back(p);
  list.push_back({.name = "speeds",
                  .form = Form::quantity_list,
                  .kind = Kind::speed,
                  .unit = "rpm",
                  .lower = -1e6,
                  .upper = 1e6,
                  .optional = true,
                  .sentence = "Speeds of the rotor, counter-clockwise positive, instead of slips."});
  list.push_back({.name = "slips",
                  .form = Form::quantity_list,
                  .lower = -10,
                  .upper = 10,
                  .optional = true,
                  .sentence = "Slips against synchronous speed; 1, 0.95 … 0.05, 0 when neither they nor speeds are "
                              "given."});
  list.push_back(
      {.name = "gap_coupling",
       .form = Form::choice,
       .fallback = "own-frequency",
       .choices = {"own-frequency", "fundamental", "all-harmonics"},
       .sentence =
           "Rotor frequency of the space harmonics: each its own (exact for rotors that look the same "
           "from every angle), only the fundamental crossing the gap, or all at the fundamental's. A cage or "
           "wound rotor takes the fundamental when nothing is given, or all-harmonics, averaged over positions."});
  list.push_back(
      {.name = "positions",
       .form = Form::integer,
       .lower = 2,
       .upper = 100,
       .fallback = "8",
       .sentence = "Rotor positions over one slot pitch of a cage or wound rotor, with all-harmonics alone."});
  return list;
}

GapCoupling coupling_of(const std::string& name) {
  if (name == "fundamental") return GapCoupling::fundamental;
  return name == "all-harmonics" ? GapCoupling::all_harmonics : GapCoupling::own_frequency;
}

bool under_voltage(const Case& kase, const Section& section);

Request read(const Case& kase, const Section& section, const Block& study) {
  const Values& v = study.values;
  if (phase_count(section) == 0)
    throw InputError("a slip study needs a stator winding", "give the machine a [winding]", study.place);
  if (v.has("speeds") && v.has("slips"))
    throw InputError(study.path + ": both speeds and slips are given", "leave one of the two out", v.place("slips"));
  Request r;
  r.current = under_voltage(kase, section) ? 0 : phase_current(kase, study);
  r.one_phase = v.text("supply") == "one-phase";
  if (on_two_lines(study) && !under_voltage(kase, section))
    throw InputError(study.path + ".supply = \"two-lines\" fits a rotor with a cage or winding",
                     "take \"one-phase\" or \"all-phases\"", v.place("supply"));
  r.omega = v.has("frequency") ? 2 * pi * v.number("frequency") : rated_omega(kase);
  const double synchronous = r.omega / section.pole_pairs;
  if (v.has("speeds")) r.speeds = v.numbers("speeds");
  if (v.has("slips"))
    for (double s : v.numbers("slips")) r.speeds.push_back((1 - s) * synchronous);
  if (r.speeds.empty())
    for (int k = 0; k <= 20; ++k) r.speeds.push_back(0.05 * k * synchronous);
  r.coupling = coupling_of(v.text("gap_coupling"));
  r.rotor_angle = v.number("rotor_angle");
  return r;
}

/// Whether the rotor looks the same from every angle: solid rings and air alone.
bool is_round(const Section& section) {
  return std::all_of(section.regions.begin(), section.regions.end(), [](const Region& region) {
    return region.side == Side::stator || is_solid_part(region) || region.role == Role::air;
  });
}

bool has_solid_part(const Case& kase, const Section& section) {
  return std::any_of(section.regions.begin(), section.regions.end(), [&](const Region& region) {
    return is_solid_part(region) && kase.materials.at(region.material).conductivity > 0;
  });
}

/// The first part that follows a B–H curve; nullptr where all are linear.
const Region* saturated_part(const Case& kase, const Section& section) {
  for (const Region& region : section.regions)
    if (!kase.materials.at(region.material).b.empty()) return &region;
  return nullptr;
}

/// By the saturated field of one slip under voltage (cases/cage_slip.h): bars, wound rotors, solid ones with B–H
/// curves.
bool under_voltage(const Case& kase, const Section& section) {
  return has_bars(section) ||
         (saturated_part(kase, section) != nullptr && is_round(section) && has_solid_part(kase, section));
}

/// Refuses what the field cannot take before anything is meshed.
void check(const Case& kase, const Section& section, const Block& study) {
  read(kase, section, study);
  if (under_voltage(kase, section)) {
    read_cage_slip(kase, section, study);
    return;
  }
  if (const Region* region = saturated_part(kase, section))
    throw InputError(
        fmt::format("{}: {} is of {}, which follows a B-H curve; the study takes saturated iron with a cage, "
                    "a wound rotor or a round solid rotor",
                    study.path, region->name, region->material),
        "name a material with mu_r, such as linear-steel", study.place);
  if (!has_solid_part(kase, section))
    throw InputError(study.path + ": the rotor has no solid part of a conducting material, so nothing is induced in it",
                     "take a rotor of type \"layers\" with a material that states its conductivity", study.place);
}

std::vector<std::complex<double>> currents_of(const Section& section, const Request& r) {
  std::vector<std::complex<double>> currents(section.branches.size());
  const std::vector<double> axes = phase_axes(section);
  for (size_t k = 0; k < axes.size(); ++k)
    if (k == 0 || !r.one_phase) currents[k] = std::polar(r.current, -axes[k]);
  return currents;
}

struct Point {
  double speed = 0, torque = 0, fundamental = 0, voltage = 0, loss = 0, balance = 0;
  std::vector<double> part_loss;  // by region
};

Point point_of(TimeHarmonicField& field, const Request& r, double speed) {
  const Section& section = field.section();
  const HarmonicSolution s = field.solve({currents_of(section, r), r.omega, speed, r.rotor_angle}, r.coupling);
  const std::vector<std::complex<double>> linkages = field.linkages(s);
  Point p{speed, s.torque};
  for (const HarmonicOrder& order : s.orders)
    if (order.order == section.pole_pairs) p.fundamental = order.torque;
  p.voltage = kRms * r.omega * std::abs(linkages[0]);
  p.loss = s.rotor_loss();
  p.part_loss = s.loss;
  double into = 0, apparent = 0;  // terminal power without the winding's resistance
  for (size_t k = 0; k < linkages.size(); ++k) {
    const std::complex<double> voltage = std::complex<double>{0, r.omega} * linkages[k];
    into += 0.5 * std::real(voltage * std::conj(s.excitation.currents[k]));
    apparent += 0.5 * std::abs(voltage * s.excitation.currents[k]);
  }
  p.balance = (into - p.loss - p.torque * speed) / apparent;
  return p;
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const Point& p,
            const std::string& how) {
  const double synchronous = r.omega / context.section.pole_pairs;
  Recorder out(result, context.name,
               {{"phase_current", fmt::format("{:.6g} A", kRms * r.current)},
                {"frequency", fmt::format("{:.6g} Hz", r.omega / (2 * pi))},
                {"speed", fmt::format("{:.7g} rpm", p.speed * 30 / pi)},
                {"slip", fmt::format("{:.6g}", 1 - p.speed / synchronous)}},
               1);
  out.add("torque_mean", p.torque, how).key_result = true;
  out.add("torque_fundamental", p.fundamental, "forward order p alone");
  out.add("E_phase", p.voltage, "omega times linkage of phase A").key_result = true;
  out.add("rotor_loss", p.loss, "current density squared over conductivity").key_result = true;
  for (size_t k = 0; k < p.part_loss.size(); ++k)
    if (p.part_loss[k] > 0) {
      const Region& region = context.section.regions[k];
      Recorder part(result, context.name,
                    {{"speed", fmt::format("{:.7g} rpm", p.speed * 30 / pi)},
                     {"part", region.name + " (" + region.material + ")"}},
                    1);
      part.add("part_loss", p.part_loss[k], "current density squared over conductivity").key_result = true;
    }
  out.add("gap_power_balance", p.balance, "power into the winding less rotor loss less torque times speed");
}

ResultCurve curve_of(const StudyContext& context, const std::vector<Point>& points) {
  ResultCurve curve{context.name, "curve", "Torque, voltage and rotor loss against speed", {}, false};
  Column speed{"speed", "rpm", {}}, torque{"torque", "N m", {}}, fundamental{"torque_fundamental", "N m", {}},
      voltage{"E_phase", "V", {}}, loss{"rotor_loss", "W", {}};
  for (const Point& p : points) {
    speed.values.push_back(p.speed * 30 / pi);
    torque.values.push_back(p.torque);
    fundamental.values.push_back(p.fundamental);
    voltage.values.push_back(p.voltage);
    loss.values.push_back(p.loss);
  }
  curve.columns = {speed, torque, fundamental, voltage, loss};
  return curve;
}

StudyResult run(StudyContext& context, const Block& study) {
  if (under_voltage(context.kase, context.section)) return cage_slip(context, study);
  Request r = read(context.kase, context.section, study);
  std::sort(r.speeds.begin(), r.speeds.end());
  SolverOptions options;
  options.temperature = context.kase.machine.general.values.number("temperature");
  TimeHarmonicField field(context.section, context.mesh, context.kase.materials, options);
  std::vector<Point> points;
  for (double speed : r.speeds) {
    context.progress(static_cast<double>(points.size()) / static_cast<double>(r.speeds.size()));
    points.push_back(point_of(field, r, speed));
  }
  const std::string how = "annulus harmonics, " + study.values.text("gap_coupling");
  StudyResult result;
  for (const Point& p : points) report(result, context, r, p, how);
  if (points.size() > 1) result.results.curves.push_back(curve_of(context, points));
  if (!is_round(context.section) && r.coupling == GapCoupling::own_frequency)
    result.results.warnings.push_back(
        context.name +
        ": own-frequency is approximate here: the rotor does not look the same from every "
        "angle, and what one harmonic makes of another is left out");
  return result;
}

/// Two instants of the supply without eddy currents, and the skin by a mesh fine enough from the start.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Request r = read(kase, section, study);
  if (under_voltage(kase, section)) return cage_slip_states(kase, section, study);
  std::vector<Excitation> list;
  for (double phase : {0.2, 1.4}) {
    std::vector<double> now;
    for (const std::complex<double>& i : currents_of(section, r)) now.push_back(std::real(i * std::polar(1.0, phase)));
    now.resize(static_cast<size_t>(phase_count(section)));
    list.push_back(phase_excitation(section, now, 0, r.rotor_angle));
  }
  return list;
}

/// rad/s, at the slip farthest from 0.
double largest_rotor_omega(const Case& kase, const Section& section, const Block& study) {
  double most = 0;
  if (under_voltage(kase, section)) {
    const CageSlipRequest r = read_cage_slip(kase, section, study);
    for (double slip : r.slips)
      most = std::max(most, std::max(std::abs(slip), on_two_lines(study) ? std::abs(2 - slip) : 0) * r.supply.omega);
    return most;
  }
  const Request r = read(kase, section, study);
  for (double speed : r.speeds) most = std::max(most, std::abs(r.omega - section.pole_pairs * speed));
  return most;
}

}  // namespace

StudyType slip_study() {
  return {
      "slip",
      "Rotors that slip. A cage under the voltage of all phases: torque, currents, power factor, losses and both MMFs "
      "over slip, the largest torque by search, saturated; so a wound rotor, closed over given resistances, and a "
      "solid one with a B-H curve. A rotor of "
      "solid rings under given currents, of constant "
      "permeability: torque, voltage, and the loss of each part.",
      parameters(),
      run,
      check,
      true,
      states,
      {},
      true,
      [](const Case& kase, const Section& section, const Block& study) {
        return skin_limits(kase, section, largest_rotor_omega(kase, section, study));
      }};
}

}  // namespace polepitch
