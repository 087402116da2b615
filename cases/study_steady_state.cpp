// steady-state: a cage motor at one speed on its mains, stepped in time from the time-harmonic field: torque ripple,
// slot harmonics of the currents, losses with every harmonic.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/skew.h"
#include "cases/stepped_cage.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "post/dq.h"
#include "post/tones.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
const double kRms = 1 / std::sqrt(2.0);

struct Request {
  SteppedCage cage;
  double slip = 0;
  int settle = 2, periods = 1;
};

std::vector<Parameter> parameters() {
  std::vector<Parameter> list = stepped_cage_parameters();
  list.push_back({.name = "slip",
                  .lower = -10,
                  .upper = 10,
                  .optional = true,
                  .sentence = "Slip at which the rotor is held; that of the rated speed when it is not given."});
  list.push_back({.name = "settling_periods",
                  .form = Form::integer,
                  .lower = 0,
                  .upper = 1000,
                  .fallback = "2",
                  .sentence = "Periods of the supply before those that are evaluated."});
  list.push_back({.name = "periods",
                  .form = Form::integer,
                  .lower = 1,
                  .upper = 100,
                  .fallback = "1",
                  .sentence = "Periods of the supply that are evaluated."});
  return list;
}

Request read(const Case& kase, const Section& section, const Block& study) {
  Request r;
  r.cage = read_stepped_cage(kase, section, study);
  const Values& v = study.values;
  const double rated = rated_slip(kase, section);
  if (!v.has("slip") && rated == 0)
    throw InputError(study.path + " says neither slip, nor does the rating state a speed",
                     "state slip, or rating.speed", study.place);
  if (skew_offsets(kase).size() > 1)
    throw InputError(
        fmt::format("{}, a {} study, steps one section: it would show the slot harmonics that machine.skew "
                    "takes away",
                    study.path, study.type),
        "set machine.skew = \"0 deg\" for this study; slip knows skew", kase.machine.general.values.place("skew"));
  r.slip = v.has("slip") ? v.number("slip") : rated;
  r.settle = v.integer("settling_periods");
  r.periods = v.integer("periods");
  return r;
}

/// Start of the steps: the instant of the time-harmonic field at which phase A's voltage is at its peak.
CageSolution harmonic_start(const StudyContext& context, const Request& r) {
  SolverOptions options;
  options.temperature = context.kase.machine.general.values.number("temperature");
  CageField field(context.section, context.mesh, context.kase.materials, r.cage.supply.ends, options);
  const double lines = r.cage.stator.connection == StatorCircuit::Connection::delta ? 3 : 1;
  CageExcitation excitation = excitation_of(r.cage.supply, r.slip);
  excitation.resistance += lines * r.cage.stator.line_resistance;
  excitation.end_inductance += lines * r.cage.stator.line_inductance;
  return field.solve(excitation);
}

TransientState start_of(const StudyContext& context, const Request& r, const CageSolution& harmonic,
                        TransientField& field, const Circuits& circuits) {
  std::vector<double> a;
  for (const Complex& value : harmonic.a) a.push_back(value.real());
  const std::vector<double> currents = currents_at_start(context.section, harmonic).currents;
  field.connect(circuits);
  return field.start(a, loop_currents(circuits, currents), 0, (1 - r.slip) * r.cage.synchronous);
}

/// The evaluated part of the log.
struct Window {
  std::vector<double> time, torque, power, loss;
  std::vector<Complex> current;
  double square = 0;  // mean of the phases' squares
};

Window window_of(const StudyContext& context, const ResultCurve& log, int steps) {
  const std::vector<double> axes = phase_axes(context.section);
  const size_t rows = log.columns[0].values.size(), first = rows - static_cast<size_t>(steps);
  Window w;
  for (size_t i = first; i < rows; ++i) {
    std::vector<double> phases;
    for (size_t k = 0; k < axes.size(); ++k) phases.push_back(log.columns[4 + k].values[i]);
    for (double p : phases) w.square += p * p / static_cast<double>(axes.size() * static_cast<size_t>(steps));
    w.time.push_back(log.columns[0].values[i]);
    w.torque.push_back(log.columns[3].values[i]);
    w.power.push_back(log.columns[4 + axes.size()].values[i]);
    w.loss.push_back(log.columns[5 + axes.size()].values[i]);
    w.current.push_back(space_vector(phases, axes));
  }
  return w;
}

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

/// A line of the currents' spectrum, its frequency over the supply's with the sense in which it turns.
struct Tone {
  double order = 0;
  int slot = 0;  // ±1: rotor slots against the fundamental; ±2: other lines of theirs; 0: none
};

/// Of the whole rotor; bars of an outer cage lie in the slots of the inner one.
int rotor_slots(const Section& section) {
  if (!section.rotor_winding.sides.empty()) return section.rotor_winding.slots;
  int bars = 0;
  for (const Branch& b : section.branches) bars += b.kind == BranchKind::bar && b.cage == 0;
  return bars * section.sectors;
}

/// Rotor slots turn a wave of order h into waves of the orders n = h + k Q_r/p at the frequency h + k (1 − s) Q_r/p. m
/// phases answer with their positive sequence where n = 1, with the negative one where n = −1 (modulo 2m), else not.
void add_slot_tone(std::vector<Tone>& tones, const StudyContext& context, double slip, int h, int k) {
  const int slots = rotor_slots(context.section), p = context.section.pole_pairs;
  const int phases = phase_count(context.section);
  if (k * slots % p != 0) return;
  const int period = 2 * phases, n = h + k * slots / p, rest = ((n % period) + period) % period;
  if (rest != 1 && rest != period - 1) return;
  const double order = (rest == 1 ? 1 : -1) * (h + k * (1 - slip) * slots / p);
  if (std::any_of(tones.begin(), tones.end(), [&](const Tone& t) { return std::abs(t.order - order) < 1; })) return;
  tones.push_back({order, h == 1 && std::abs(k) == 1 ? k : 2});
}

/// The fundamental, what slots make of it and of its third harmonic (saturation), and the orders of a winding.
std::vector<Tone> tones_of(const StudyContext& context, double slip) {
  std::vector<Tone> tones = {{1, 0}};
  for (int k : {-1, 1}) add_slot_tone(tones, context, slip, 1, k);
  for (int h : {3, -3, 5})
    for (int k : {-1, 1}) add_slot_tone(tones, context, slip, h, k);
  for (int k : {-2, 2}) add_slot_tone(tones, context, slip, 1, k);
  const int phases = phase_count(context.section);
  for (int g = 1; g <= 4; ++g)
    for (int order : {1 - 2 * phases * g, 1 + 2 * phases * g})
      if (std::none_of(tones.begin(), tones.end(), [&](const Tone& t) { return std::abs(t.order - order) < 1; }))
        tones.push_back({static_cast<double>(order), 0});
  std::stable_sort(tones.begin(), tones.end(),
                   [](const Tone& a, const Tone& b) { return std::abs(a.order) < std::abs(b.order); });
  return tones;
}

std::vector<Complex> amplitudes(const Window& w, const std::vector<Tone>& tones, double omega, size_t begin,
                                size_t end) {
  std::vector<double> omegas;
  for (const Tone& t : tones) omegas.push_back(t.order * omega);
  const auto from = static_cast<std::ptrdiff_t>(begin), to = static_cast<std::ptrdiff_t>(end);
  return fit_tones({w.time.begin() + from, w.time.begin() + to}, {w.current.begin() + from, w.current.begin() + to},
                   omegas);
}

void report(StudyResult& result, const StudyContext& context, const Request& r, const Window& w,
            const CageSolution& harmonic, const SteppingRecord& record) {
  const double omega = r.cage.supply.omega;
  const std::vector<Tone> tones = tones_of(context, r.slip);
  const std::vector<Complex> lines = amplitudes(w, tones, omega, 0, w.time.size());
  Recorder out(result, context.name,
               {{"voltage", fmt::format("{:.6g} V a phase", kRms * r.cage.supply.voltage)},
                {"slip", fmt::format("{:.6g}", r.slip)},
                {"steps", fmt::format("{} a period", r.cage.steps_per_period)}},
               1);
  const std::string how = "steps in time, mean over the evaluated periods";
  out.add("torque_time_mean", mean(w.torque), how).key_result = true;
  const auto [low, high] = std::minmax_element(w.torque.begin(), w.torque.end());
  out.add("torque_time_ripple", *high - *low, "largest less smallest step").key_result = true;
  out.add("torque_time_harmonic", harmonic.torque, "time-harmonic field, gap coupling: fundamental");
  ResultCurve spectrum{
      context.name, "current_harmonics", "Harmonics of the phase currents, by the sense they turn in", {}, true};
  spectrum.columns = {{"order", "", {}}, {"I", "A", {}}};
  for (size_t k = 0; k < tones.size(); ++k) {
    const double rms = kRms * std::abs(lines[k]);
    spectrum.columns[0].values.push_back(tones[k].order);
    spectrum.columns[1].values.push_back(rms);
    if (tones[k].order == 1) out.add("I_fundamental", rms, "least squares of tones").key_result = true;
  }
  out.add("I_time_harmonic", kRms * std::abs(harmonic.current), "time-harmonic field, gap coupling: fundamental");
  out.add("I_total", std::sqrt(w.square), how);
  for (size_t k = 0; k < tones.size(); ++k)
    if (std::abs(tones[k].slot) == 1) {
      const char* name = tones[k].slot < 0 ? "I_slot_harmonic_lower" : "I_slot_harmonic_upper";
      out.add(name, kRms * std::abs(lines[k]), "least squares of tones").key_result = true;
    }
  out.add("P_mean", mean(w.power), how);
  out.add("rotor_conductor_loss", mean(w.loss), "bars by field, rings and rotor phases by their resistance")
      .key_result = true;
  const size_t half = w.time.size() / 2;
  std::vector<Tone> alone;  // half a period tells few tones apart
  for (const Tone& t : tones)
    if (t.order == 1 || t.order == -5 || t.order == 7) alone.push_back(t);
  const auto fundamental = [&](size_t begin, size_t end) { return amplitudes(w, alone, omega, begin, end)[0]; };
  out.add("settled_change",
          std::abs(fundamental(half, w.time.size()) - fundamental(0, half)) / std::abs(fundamental(0, w.time.size())),
          "least squares of tones in both halves");
  out.add("energy_imbalance", relative_imbalance(record.totals), "over the evaluated periods");
  out.add("time_steps", record.steps, "counted").exact = true;
  result.results.curves.push_back(spectrum);
}

/// Torque over the supply's orders.
ResultCurve torque_spectrum(const StudyContext& context, const Request& r, const Window& w) {
  ResultCurve curve{
      context.name, "torque_spectrum", "Torque ripple over the order of the supply's frequency", {}, true};
  curve.columns = {{"order", "", {}}, {"torque", "N m", {}}};
  const std::vector<double> lines = hann_spectrum(w.torque, 40 * r.periods);
  for (size_t k = 1; k < lines.size(); ++k) {
    curve.columns[0].values.push_back(static_cast<double>(k) / r.periods);
    curve.columns[1].values.push_back(lines[k]);
  }
  return curve;
}

StudyResult run(StudyContext& context, const Block& study) {
  Request r = read(context.kase, context.section, study);
  const CageSolution harmonic = harmonic_start(context, r);
  TransientField field = stepped_field(context, r.cage);
  r.cage.stator.source = line_source(context.section, r.cage, 0);
  Episode episode;
  episode.circuits = machine_circuits(context.section, r.cage.stator, {}, r.cage.rotor);
  episode.end = (r.settle + r.periods) * r.cage.period();
  const TransientState start = start_of(context, r, harmonic, field, episode.circuits);
  SteppingRules rules;
  rules.equal = true;
  rules.largest_step = r.cage.period() / r.cage.steps_per_period;
  rules.count_from = r.settle * r.cage.period();
  rules.frames = frame_times(context, r.settle * r.cage.period(), episode.end);
  Stepping stepping(
      context, field, stepped_log(context, "Torque and currents over time at one speed"),
      [&](const TransientField& f, const TransientState& s) { return stepped_row(context, r.cage, f, s); }, rules);
  TransientState end;
  const SteppingRecord record = stepping.run(start, {episode}, end);
  StudyResult result;
  const Window w = window_of(context, record.log, r.periods * r.cage.steps_per_period);
  report(result, context, r, w, harmonic, record);
  result.results.curves.push_back(torque_spectrum(context, r, w));
  ResultCurve log = record.log;
  for (Column& c : log.columns)
    if (c.name == "speed") c.drawn = false;
  result.results.curves.push_back(log);
  add_frames(result, context, field, record);
  warn_stepped(result, context, r.cage);
  return result;
}

}  // namespace

StudyType steady_state_study() {
  return {.name = "steady-state",
          .sentence =
              "A cage motor held at one speed on its mains, stepped in time from the time-harmonic field: torque "
              "ripple, slot "
              "harmonics of the currents, losses with every harmonic.",
          .parameters = parameters(),
          .run = run,
          .check = [](const Case& kase, const Section& section, const Block& study) { read(kase, section, study); },
          .needs_rating = true,
          .states = stepped_states,
          .stepped = true};
}

}  // namespace polepitch
