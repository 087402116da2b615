// rotating-field: the rotor stands still and the supply's phase is stepped through one period. Each order of the gap
// field splits into a wave that turns forward and one that turns backward.
#include <algorithm>
#include <cmath>
#include <complex>

#include "cases/skew.h"
#include "cases/study_list.h"
#include "cases/study_tools.h"
#include "cases/sweep.h"
#include "post/dq.h"
#include "post/gap_quantities.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
using Spectrum = std::vector<GapField::FluxOrder>;

std::vector<Parameter> parameters() {
  std::vector<Parameter> list;
  for (const Parameter& p : load_parameters())
    if (p.name == "phase_current" || p.name == "field_current" || p.name == "rotor_angle") list.push_back(p);
  list.push_back({.name = "supply",
                  .form = Form::choice,
                  .fallback = "balanced",
                  .choices = {"balanced", "two-phases-swapped", "one-phase"},
                  .sentence =
                      "How the phases are fed: all in positive sequence, with two of them exchanged (which turns "
                      "the field back), or phase A alone."});
  list.push_back({.name = "steps",
                  .form = Form::integer,
                  .lower = 6,
                  .upper = 720,
                  .fallback = "36",
                  .sentence = "Steps of the supply's phase over one period."});
  return list;
}

std::vector<double> currents_at(const Section& section, const std::string& supply, double amplitude, double phase) {
  std::vector<double> axes = phase_axes(section), currents;
  if (supply == "two-phases-swapped" && axes.size() > 2) std::swap(axes[1], axes[2]);
  for (size_t k = 0; k < axes.size(); ++k)
    currents.push_back(supply == "one-phase" && k > 0 ? 0 : amplitude * std::cos(phase - axes[k]));
  return currents;
}

/// Waves of one order: B_r = Re[(forward e^{−jφ} + backward e^{+jφ}) e^{jnθ}], φ the supply's phase, plus what stands.
struct Waves {
  int order = 0;
  Complex forward, backward, standing;
};

/// Waves of a skewed stack: their means over its slices, `each` a step, seen from the stator.
std::vector<Spectrum> along_stack(const std::vector<Spectrum>& slices, size_t each) {
  std::vector<Spectrum> steps;
  const double share = 1 / static_cast<double>(each);
  for (size_t i = 0; i < slices.size(); ++i) {
    if (i % each == 0) {
      steps.push_back(slices[i]);
      for (GapField::FluxOrder& order : steps.back()) order.radial = order.tangential = 0;
    }
    for (size_t n = 0; n < slices[i].size(); ++n) {
      steps.back()[n].radial += share * slices[i][n].radial;
      steps.back()[n].tangential += share * slices[i][n].tangential;
    }
  }
  return steps;
}

std::vector<Complex> fundamentals(const std::vector<Spectrum>& steps, int pole_pairs) {
  std::vector<Complex> values(steps.size());
  for (size_t i = 0; i < steps.size(); ++i)
    for (const GapField::FluxOrder& order : steps[i])
      if (order.order == pole_pairs) values[i] = std::conj(order.radial);  // a vector, as fundamental_radial
  return values;
}

std::vector<Waves> split_waves(const std::vector<Spectrum>& spectra) {
  const auto steps = static_cast<double>(spectra.size());
  std::vector<Waves> waves(spectra.front().size());
  for (size_t s = 0; s < spectra.size(); ++s) {
    const Complex turn = std::polar(1.0, 2 * pi * static_cast<double>(s) / steps);
    for (size_t i = 0; i < waves.size(); ++i) {
      const Complex b = spectra[s][i].radial / steps;
      waves[i].order = spectra[s][i].order;
      waves[i].forward += b * turn;
      waves[i].backward += b * std::conj(turn);
      waves[i].standing += b;
    }
  }
  return waves;
}

ResultCurve wave_curve(const StudyContext& context, const std::vector<Waves>& waves) {
  ResultCurve curve{
      context.name, "waves", "Waves of the radial air-gap flux density that turn with the supply", {}, true};
  Column electrical{"electrical_order", "", {}}, order{"mechanical_order", "", {}}, forward{"B_r_forward", "T", {}},
      backward{"B_r_backward", "T", {}};
  double largest = 0;
  for (const Waves& w : waves) largest = std::max({largest, std::abs(w.forward), std::abs(w.backward)});
  for (const Waves& w : waves) {
    if (w.order == 0 || std::max(std::abs(w.forward), std::abs(w.backward)) < 1e-6 * largest) continue;
    electrical.values.push_back(static_cast<double>(w.order) / context.section.pole_pairs);
    order.values.push_back(w.order);
    forward.values.push_back(std::abs(w.forward));
    backward.values.push_back(std::abs(w.backward));
  }
  order.drawn = false;
  curve.drawn_to = 50;
  curve.columns = {electrical, forward, backward, order};
  return curve;
}

/// Where the fundamental points at each step, and how long it is.
ResultCurve vector_curve(const StudyContext& context, const std::vector<Complex>& fundamental,
                         const std::vector<double>& torque) {
  ResultCurve curve{context.name, "fundamental", "Fundamental of B_r while the supply's phase is stepped", {}, false};
  Column phase{"supply_phase", "deg", {}}, angle{"axis", "deg", {}}, length{"B_r1", "T", {}},
      t{"torque", "N m", torque};
  double last = 0;
  for (size_t s = 0; s < fundamental.size(); ++s) {
    phase.values.push_back(360.0 * static_cast<double>(s) / static_cast<double>(fundamental.size()));
    double a = std::arg(fundamental[s]);
    if (s > 0) a = last + std::remainder(a - last, 2 * pi);
    angle.values.push_back(a * 180 / pi);
    length.values.push_back(std::abs(fundamental[s]));
    last = a;
  }
  curve.columns = {phase, angle, length, t};
  return curve;
}

/// Mean electrical turn of the fundamental per turn of the supply's phase: 1 forward, −1 backward, near 0 standing.
double turns_per_period(const std::vector<Complex>& fundamental) {
  double sum = 0;
  for (size_t s = 0; s < fundamental.size(); ++s)
    sum += std::arg(fundamental[(s + 1) % fundamental.size()] / fundamental[s]);
  return sum / (2 * pi);
}

void report(StudyContext& context, const Load& load, StudyResult& result, const std::vector<Waves>& waves,
            const std::vector<Complex>& fundamental, const std::string& supply) {
  At at = describe_load(context.section, load);
  std::erase_if(at,
                [](const auto& entry) { return entry.first == "current_angle" || entry.first.starts_with("bar_"); });
  at.emplace_back("supply", supply);
  Recorder out(result, context.name, at, 1);
  const int p = context.section.pole_pairs;
  for (const Waves& w : waves)
    if (w.order == p) {
      out.add("B_r_forward", std::abs(w.forward), "annulus harmonics over one supply period").key_result = true;
      out.add("B_r_backward", std::abs(w.backward), "annulus harmonics over one supply period").key_result = true;
    }
  // One phase alone stands still: its axis flips by 180° as the current changes sign, which is no turning.
  const bool silent = std::any_of(fundamental.begin(), fundamental.end(), [](Complex b) { return std::abs(b) == 0; });
  if (supply == "one-phase" || silent || !context.kase.machine.rating.present) return;
  const double frequency = rated_omega(context.kase) / (2 * pi);
  out.add("n_field", turns_per_period(fundamental) * 60 * frequency / p, "angle of B_r1 against the supply's phase")
      .key_result = true;
}

void check(const Case& kase, const Section& section, const Block& study) {
  if (phase_count(section) == 0)
    throw InputError("a rotating-field study needs a stator winding", "give the machine a [winding]", study.place);
  if (study.values.number("field_current") != 0 && field_branch(section) < 0)
    throw InputError(study.path + ".field_current is given, but this rotor has no field winding", "leave the key out",
                     study.values.place("field_current"));
  phase_current(kase, study);
}

Load load_of(const Case& kase, const Block& study) {
  Load load;
  load.current = phase_current(kase, study);
  load.field_current = study.values.number("field_current");
  load.rotor_angle = study.values.number("rotor_angle");
  return load;
}

/// Two instants of the supply's period.
std::vector<Excitation> states(const Case& kase, const Section& section, const Block& study) {
  const Load load = load_of(kase, study);
  std::vector<Excitation> states;
  for (double phase : {0.3, 1.5})
    states.push_back(phase_excitation(section, currents_at(section, study.values.text("supply"), load.current, phase),
                                      load.field_current, load.rotor_angle));
  return states;
}

StudyResult run(StudyContext& context, const Block& study) {
  const Section& section = context.section;
  const Load load = load_of(context.kase, study);
  const std::string& supply = study.values.text("supply");
  const int steps = study.values.integer("steps");
  std::vector<Excitation> points;
  for (int s = 0; s < steps; ++s)
    points.push_back(phase_excitation(section, currents_at(section, supply, load.current, 2 * pi * s / steps),
                                      load.field_current, load.rotor_angle));
  const std::vector<double> offsets = skew_offsets(context.kase);
  const size_t each = offsets.size();
  std::vector<Spectrum> slices(points.size() * each);
  std::vector<double> torques(slices.size());
  const std::vector<bool> keep = chosen_frames(context, points.size());
  std::vector<StaticSolution> kept(points.size());
  sweep(context, in_slices(points, offsets), [&](const SolvedPoint& point) {
    const size_t i = point.index;
    slices[i] = point.solution.gap.spectrum(point.solution.gap.mean_radius());
    torques[i] = point.field.torque(point.solution);
    if (i % each == each / 2 && keep[i / each]) kept[i / each] = point.solution;
  });
  const std::vector<Spectrum> spectra = along_stack(slices, each);
  const std::vector<Complex> fundamental = fundamentals(spectra, section.pole_pairs);
  const std::vector<double> torque = over_slices(torques, each);
  StudyResult result;
  const std::vector<Waves> waves = split_waves(spectra);
  report(context, load, result, waves, fundamental, supply);
  result.results.curves.push_back(wave_curve(context, waves));
  result.results.curves.push_back(vector_curve(context, fundamental, torque));
  for (size_t i = 0; i < points.size(); ++i)
    if (keep[i])
      result.frames.push_back(
          {context.name, points[i], std::move(kept[i]), double(result.frames.size()), 360.0 * double(i) / steps});
  result.frame_axis = {"supply_phase", "deg", "fundamental", "torque", "the stator's currents turn the field"};
  return result;
}

}  // namespace

StudyType rotating_field_study() {
  return {
      "rotating-field",
      "Rotor still, supply stepped through one period: the stator's field turns at 60 f/p, back when two phases are "
      "swapped, and splits into two fields turning against each other when one phase alone is fed.",
      parameters(),
      run,
      check,
      false,
      states,
      {},
      true};
}

}  // namespace polepitch
