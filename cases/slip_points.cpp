#include "cases/slip_points.h"

#include <algorithm>
#include <cmath>

#include "cases/field_iron_loss.h"
#include "cases/pull_out.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr Complex j{0, 1};

/// The working wave's coefficient on the mean gap circle, from both gap circles: A = a r^p + b r^−p.
Complex mean_wave(const Section& section, const CageSolution& s) {
  const double outer = section.gap_circle(Side::stator), inner = section.gap_circle(Side::rotor);  // cages lie inside
  const double p = section.pole_pairs, mean = 0.5 * (outer + inner);
  const double from_outer = std::pow(mean / outer, p) - std::pow(inner / mean, p) * std::pow(inner / outer, p);
  const double from_inner = std::pow(inner / mean, p) - std::pow(mean / outer, p) * std::pow(inner / outer, p);
  const Complex rotor = s.rotor * std::polar(1.0, p * s.excitation.rotor_angle);  // as the stator sees it
  return (from_outer * s.stator + from_inner * rotor) / (1 - std::pow(inner / outer, 2 * p));
}

/// Of all bars of the slot on the d-axis [A, peak]; of a wound rotor the current of phase a as such a bar's.
Complex first_slot_current(const Section& section, const CageSolution& s) {
  if (s.bars.empty()) return -j * s.rotor_current;  // phase a's axis is the d-axis, its coil sides a quarter wave off
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

}  // namespace

SlipFigures figures_of(const SlipPoint& p, const Section& section) {
  SlipFigures f;
  const int phases = phase_count(section);
  const CageExcitation& e = p.field.excitation;
  f.speed = (1 - p.slip) * e.omega / section.pole_pairs;
  const Complex power = 0.5 * phases * p.field.voltage * std::conj(p.field.current);
  f.input = power.real();
  f.shaft = p.field.torque * f.speed;
  f.copper = 0.5 * phases * e.resistance * std::norm(p.field.current);
  f.factor = std::abs(power) > 0 ? power.real() / std::abs(power) : 0;
  if (f.input > 0 && f.shaft > 0) f.efficiency = f.shaft / f.input;
  if (f.input < 0 && f.shaft < 0) f.efficiency = f.input / f.shaft;
  return f;
}

double stator_leakage(const SlipPoint& p) {
  const CageExcitation& e = p.field.excitation;
  return e.omega * (e.end_inductance + std::real((p.field.linkage - p.main_linkage) / p.field.current));
}

bool wants_iron_loss(const Case& kase, const Section& section, const Block& study) {
  if (!study.values.has("iron_loss")) return core_without_loss(section, kase.materials).empty();
  if (!study.values.flag("iron_loss")) return false;
  check_iron_loss(kase, section, study);
  return true;
}

Parameter cage_iron_loss_parameter() {
  return {.name = "iron_loss",
          .form = Form::flag,
          .optional = true,
          .sentence =
              "Whether iron loss counts; when it is not given, it does where the materials of the cores state "
              "coefficients."};
}

IronLoss iron_loss_of(const StudyContext& context, const SlipPoint& p) {
  const double frequency = p.field.excitation.omega / (2 * pi);
  const auto nodes = static_cast<std::ptrdiff_t>(context.mesh.nodes.size());  // of the middle slice of a skewed machine
  const auto first = p.field.a.begin() + static_cast<std::ptrdiff_t>(p.field.a.size()) / nodes / 2 * nodes;
  const std::vector<Complex> middle(first, first + nodes);
  return harmonic_iron_loss(context.section, context.mesh, context.kase.materials, middle, frequency,
                            p.slip * frequency);
}

SlipRunner::SlipRunner(StudyContext& context, const CageEnds& ends, const CageOptions& options, int positions)
    : context_(context),
      runner_(context, ends, options),
      moments_(mmf_moments(context.fields.of(0))),
      positions_(options.coupling == GapCoupling::all_harmonics ? positions : 1) {
  const WindingData winding = winding_data(context.section, context.kase.machine, context.kase.materials);
  turns_ = winding.turns_in_series * winding.winding_factor;
}

std::vector<SlipPoint> SlipRunner::at(const std::vector<CageExcitation>& excitations, double from, double to) {
  std::vector<CageExcitation> all;
  for (const CageExcitation& e : excitations)
    for (const CageExcitation& turned : positions_of(e)) all.push_back(turned);
  std::vector<SlipPoint> points;
  std::vector<CageSolution> here;
  for (CageSolution& s : runner_.solve(all, from, to)) {
    here.push_back(std::move(s));
    if (static_cast<int>(here.size()) < positions_) continue;
    points.push_back(mean_of(std::move(here)));
    here.clear();
  }
  return points;
}

std::vector<SlipPoint> SlipRunner::at(const CageSupply& supply, const std::vector<double>& slips, double from,
                                      double to) {
  std::vector<CageExcitation> excitations;
  for (double slip : slips) excitations.push_back(excitation_of(supply, slip));
  return at(excitations, from, to);
}

SlipPoint SlipRunner::at(const CageExcitation& point, const SlipPoint& near) {
  context_.progress(0.8);
  std::vector<CageSolution> fields;
  for (const CageExcitation& turned : positions_of(point))
    fields.push_back(runner_.solve(turned, fields.empty() ? near.field : fields.back()));
  return mean_of(std::move(fields));
}

FieldFrame SlipRunner::frame(const SlipPoint& p, size_t number) {
  return {context_.name,
          currents_at_start(context_.section, p.field),
          runner_.field().instant(p.field),
          static_cast<double>(number),
          p.slip,
          p.field.torque};
}

std::vector<CageExcitation> SlipRunner::positions_of(const CageExcitation& point) const {
  const Section& section = context_.section;
  int slots = section.rotor_winding.slots;  // of the rotor
  if (section.rotor_winding.sides.empty())
    slots = section.sectors *
            static_cast<int>(std::count_if(section.branches.begin(), section.branches.end(),
                                           [](const Branch& b) { return b.kind == BranchKind::bar && b.cage == 0; }));
  std::vector<CageExcitation> list(static_cast<size_t>(positions_), point);
  for (int k = 0; k < positions_; ++k)
    list[static_cast<size_t>(k)].rotor_angle += 2 * pi * k / (positions_ * std::max(1, slots));
  return list;
}

/// What is seen of one position's field, vectors in the stator's frame.
struct SlipRunner::Vectors {
  Complex f_s, f_r, main_linkage;
  Complex bar;  // EMF of the gap's wave times the conjugate current, of the first slot
  double slot_current = 0;
};

SlipRunner::Vectors SlipRunner::vectors_of(const CageSolution& field) const {
  const Section& section = context_.section;
  Excitation currents = currents_at_start(section, field);
  currents.rotor_angle = field.excitation.rotor_angle;
  const MmfVectors mmf = mmf_vectors(section, moments_, currents);
  Vectors v{mmf.stator, mmf.rotor, 0, 0, 0};
  // λ = N k_w 2 L A, with A at a quarter wave from the phase's axis, where this phasor is twice the wave.
  v.main_linkage = -j * turns_ * section.length * mean_wave(section, field);
  // The first bar lies on the d-axis, where the working wave of A has half its amplitude in this phasor.
  const Complex current = first_slot_current(section, field);
  v.bar = Complex{0, -field.excitation.slip * field.excitation.omega} * field.rotor * std::conj(current);
  v.slot_current = std::abs(current);
  return v;
}

/// A, bars and the waves on the gap circles stay those of the first position.
SlipPoint SlipRunner::mean_of(std::vector<CageSolution> fields) const {
  std::vector<double> torques;
  Vectors all;
  for (const CageSolution& s : fields) {
    torques.push_back(s.torque);
    const Vectors v = vectors_of(s);
    all.f_s += v.f_s, all.f_r += v.f_r, all.main_linkage += v.main_linkage;
    all.bar += v.bar, all.slot_current += v.slot_current;
  }
  const double share = 1 / static_cast<double>(fields.size());
  const auto mean = [&](auto member) {
    auto sum = fields[0].*member;
    for (size_t k = 1; k < fields.size(); ++k) sum += fields[k].*member;
    return sum * share;
  };
  CageSolution s = fields[0];
  s.current = mean(&CageSolution::current), s.linkage = mean(&CageSolution::linkage);
  s.voltage = mean(&CageSolution::voltage), s.torque = mean(&CageSolution::torque);
  s.stator = mean(&CageSolution::stator);
  s.bar_loss = mean(&CageSolution::bar_loss), s.ring_loss = mean(&CageSolution::ring_loss);
  s.rotor_copper = mean(&CageSolution::rotor_copper), s.solid_loss = mean(&CageSolution::solid_loss);
  SlipPoint p;
  p.slip = s.excitation.slip;
  p.field = std::move(s);
  p.f_s = share * all.f_s;
  p.f_r = share * all.f_r;
  p.main_linkage = share * all.main_linkage;
  p.slot_current = share * all.slot_current;
  if (std::abs(all.bar) > 0) p.rotor_phase = std::arg(all.bar);
  p.torque_angle = torque_angle({p.f_s, p.f_r}, context_.section.pole_pairs, 0).angle;
  // A balanced winding's MMF is in proportion to its current, and as far ahead of phase A's axis as the current is.
  if (std::abs(p.f_s) > 0) p.rotor_current = p.f_r * (p.field.current / p.f_s);
  p.torques = std::move(torques);
  return p;
}

SlipPoint breakdown(SlipRunner& runner, const CageSupply& supply, const std::vector<SlipPoint>& points) {
  const auto best = std::max_element(points.begin(), points.end(), [](const SlipPoint& a, const SlipPoint& b) {
    return a.field.torque < b.field.torque;
  });
  if (best == points.begin() || best + 1 == points.end()) return *best;
  SlipPoint last = *best;
  const auto torque = [&](double log_slip) {
    last = runner.at(excitation_of(supply, std::exp(log_slip)), last);
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

}  // namespace polepitch
