#include "solver/transient_field.h"

#include <algorithm>
#include <cmath>

#include "solver/transient_stage.h"

namespace polepitch {
namespace {

const double kRootTwo = std::sqrt(2.0);
const double kDiagonal = 1 - kRootTwo / 2;  // of both schemes
const double kOmega = kRootTwo / 4;         // TR-BDF2's weight of its first two stages
/// Third-order weights less TR-BDF2's own (Hosea and Shampine 1996).
const double kThird[3] = {(1 - kOmega) / 3 - kOmega, (3 * kOmega + 1) / 3 - kOmega, kDiagonal / 3 - kDiagonal};

/// x + Σ s_i k_i
TransientLevel combine(const TransientLevel& x, std::initializer_list<std::pair<double, const TransientLevel*>> more) {
  TransientLevel sum = x;
  for (const auto& [s, k] : more) {
    for (size_t i = 0; i < sum.a.size(); ++i) sum.a[i] += s * k->a[i];
    sum.circuits += s * k->circuits;
  }
  return sum;
}

TransientLevel difference(const TransientLevel& x, const TransientLevel& base, double tau) {
  TransientLevel d = x;
  for (size_t i = 0; i < d.a.size(); ++i) d.a[i] = (x.a[i] - base.a[i]) / tau;
  d.circuits = (x.circuits - base.circuits) / tau;
  return d;
}

void add(TransientPowers& sum, double h, const TransientPowers& p) {
  sum.source += h * p.source;
  sum.copper += h * p.copper;
  sum.eddy += h * p.eddy;
  sum.ring += h * p.ring;
  sum.field += h * p.field;
  sum.circuit += h * p.circuit;
}

/// One stage as it was left.
struct Stage {
  TransientLevel at, rate;
  TransientPowers power;
  double torque = 0, speed = 0;
};

}  // namespace

struct TransientField::Impl {
  TransientSystem system;
  TransientStage stage;
  Circuits none;

  Impl(const Section& section, const Mesh& mesh, const Materials& materials, const BarRing& ring,
       const TransientOptions& options)
      : system(section, mesh, materials, ring, options), stage(system) {
    none.turns.resize(static_cast<Eigen::Index>(section.branches.size()), 0);
    none.resistance.resize(0, 0), none.inductance.resize(0, 0);
    system.connect(none);
    stage.new_border();
  }
  double angle_at(const TransientState& s, double c) const {
    return s.angle + c * s.speed + 0.5 * c * c * s.acceleration;
  }
  double torque(const TransientLevel& at, double angle) const {
    return system.system.annulus->field(at.a, angle).torque_per_length() * system.system.section.length;
  }
  /// The stage at time t_n + after, from `base`, and a guess.
  Stage implicit(const TransientState& s, double after, double tau, const TransientLevel& base,
                 const TransientLevel& guess) {
    Stage result;
    result.at = guess;
    const double angle = angle_at(s, after);
    stage.solve(s.time + after, tau, system.system.annulus->turn(angle), base, result.at);
    result.rate = difference(result.at, base, tau);
    // Bars have voltages, not their rates: only the guess of the next stage would use them.
    result.rate.circuits.segment(system.bar0, static_cast<Eigen::Index>(system.bars.size())).setZero();
    result.power = system.powers(s.time + after, result.at, result.rate, stage.force());
    result.torque = torque(result.at, angle);
    result.speed = s.speed + after * s.acceleration;
    return result;
  }
  double error_of(const TransientLevel& e, TransientState& now) const;
  void finish(const TransientState& before, const Motion& motion, double h, const Stage& last, TransientStep& step);
  void first_step(const TransientState& s, const Motion& motion, double h, TransientStep& step);
  void later_step(const TransientState& s, const Motion& motion, double h, TransientStep& step);
};

/// Error of the loops' linkages over their largest, and of what is stored in eddy fields alike; renews the scales.
double TransientField::Impl::error_of(const TransientLevel& e, TransientState& now) const {
  const double whole = system.whole;
  const Eigen::VectorXd own = system.circuits->inductance * now.at.circuits.head(system.loops);
  const Eigen::VectorXd off = system.circuits->inductance * e.circuits.head(system.loops);
  double largest = 0;
  for (int l = 0; l < system.loops; ++l) {
    now.scale = std::max(now.scale, std::abs(whole * system.turns[l].dot(now.at.a) + own[l]));
    largest = std::max(largest, std::abs(whole * system.turns[l].dot(e.a) + off[l]));
  }
  const double scale = system.options.linkage_scale > 0 ? system.options.linkage_scale : now.scale;
  now.mass_scale = std::max({now.mass_scale, system.mass_reference(), system.mass_product(now.at.a)});
  double error = scale > 0 ? largest / scale : 0;
  if (now.mass_scale > 0) error = std::max(error, std::sqrt(system.mass_product(e.a) / now.mass_scale));
  return error;
}

/// What both schemes share: the state at the step's end, the motion, the energies.
void TransientField::Impl::finish(const TransientState& before, const Motion& motion, double h, const Stage& last,
                                  TransientStep& step) {
  TransientState& now = step.state;
  now.time = before.time + h;
  now.angle = angle_at(before, h);
  now.at = last.at;
  now.rate = last.rate;
  now.power = last.power;
  now.torque = last.torque;
  now.fresh = false;
  if (motion.inertia > 0) {
    const double guess = before.speed + h * before.acceleration;
    const double load = motion.load ? motion.load(now.time, guess) : 0;
    now.acceleration = (last.torque - load) / motion.inertia;
    now.speed = before.speed + 0.5 * h * (before.acceleration + now.acceleration);
    // The angle's own error, h³/6 times the rate of the acceleration, as an electrical angle.
    const double off = system.system.section.pole_pairs * h * h / 6 * std::abs(now.acceleration - before.acceleration);
    if (!before.fresh) step.error = std::max(step.error, off);
  }
  now.stored = system.stored(system.system.annulus->turn(now.angle), now.at);
  step.stored = now.stored - before.stored;
}

void TransientField::Impl::first_step(const TransientState& s, const Motion& motion, double h, TransientStep& step) {
  const double d = kDiagonal;
  const Stage one = implicit(s, d * h, d * h, s.at, s.at);
  const Stage two = implicit(s, h, d * h, combine(s.at, {{(1 - d) * h, &one.rate}}), one.at);
  add(step.scheme, (1 - d) * h, one.power);
  add(step.scheme, d * h, two.power);
  step.shaft = h * ((1 - d) * one.torque * one.speed + d * two.torque * two.speed);
  step.state = s;
  // First-order weights (1, 0): an estimate on the safe side.
  const TransientLevel nothing = combine(one.rate, {{-1, &one.rate}});
  const TransientLevel e = combine(nothing, {{d * h, &two.rate}, {-d * h, &one.rate}});
  finish(s, motion, h, two, step);
  step.energy = step.scheme;
  step.error = std::max(step.error, error_of(e, step.state));
}

void TransientField::Impl::later_step(const TransientState& s, const Motion& motion, double h, TransientStep& step) {
  const double tau = kDiagonal * h;
  const Stage two = implicit(s, 2 * tau, tau, combine(s.at, {{tau, &s.rate}}), s.at);
  const Stage three = implicit(s, h, tau, combine(s.at, {{kOmega * h, &s.rate}, {kOmega * h, &two.rate}}), two.at);
  add(step.scheme, kOmega * h, s.power);
  add(step.scheme, kOmega * h, two.power);
  add(step.scheme, kDiagonal * h, three.power);
  step.state = s;
  const TransientLevel nothing = combine(s.rate, {{-1, &s.rate}});
  const TransientLevel e =
      combine(nothing, {{h * kThird[0], &s.rate}, {h * kThird[1], &two.rate}, {h * kThird[2], &three.rate}});
  finish(s, motion, h, three, step);
  // The middle stage of the trapezoidal rule overshoots where the skin is finer than the step, and heat is a square.
  add(step.energy, 0.5 * h, s.power);
  add(step.energy, 0.5 * h, three.power);
  step.shaft = 0.5 * h * (s.torque * s.speed + three.torque * step.state.speed);
  step.error = std::max(step.error, error_of(e, step.state));
}

TransientField::TransientField(const Section& section, const Mesh& mesh, const Materials& materials,
                               const BarRing& ring, const TransientOptions& options)
    : impl_(std::make_unique<Impl>(section, mesh, materials, ring, options)) {}
TransientField::~TransientField() = default;
TransientField::TransientField(TransientField&&) noexcept = default;

void TransientField::connect(const Circuits& circuits) {
  impl_->system.connect(circuits);
  impl_->stage.new_border();
}

TransientState TransientField::start(const std::vector<double>& a, const std::vector<double>& loops, double angle,
                                     double speed, double time) const {
  const TransientSystem& s = impl_->system;
  TransientState state;
  state.time = time;
  state.angle = angle;
  state.speed = speed;
  state.at.a = s.system.gather(a);
  state.at.circuits = Eigen::VectorXd::Zero(s.size);
  for (size_t l = 0; l < loops.size(); ++l) state.at.circuits[static_cast<Eigen::Index>(l)] = loops[l];
  state.torque = impl_->torque(state.at, angle);
  state.stored = s.stored(s.system.annulus->turn(angle), state.at);
  return state;
}

TransientState TransientField::switch_over(const TransientState& state, const std::vector<double>& loops) const {
  const TransientSystem& s = impl_->system;
  const auto bars = static_cast<Eigen::Index>(2 * s.bars.size());
  TransientState next = state;
  next.fresh = true;
  next.at.circuits.resize(s.size);
  for (size_t l = 0; l < loops.size(); ++l) next.at.circuits[static_cast<Eigen::Index>(l)] = loops[l];
  next.at.circuits.tail(bars) = state.at.circuits.tail(bars);
  next.stored = s.stored(s.system.annulus->turn(next.angle), next.at);
  return next;
}

TransientStep TransientField::step(const TransientState& state, const Motion& motion, double h) {
  Impl& m = *impl_;
  TransientStep step;
  const int newton = m.stage.newton_steps, factors = m.stage.factorisations, iterations = m.stage.iterations;
  TransientState from = state;
  if (state.fresh) {
    from.acceleration = 0;
    if (motion.inertia > 0)
      from.acceleration = (state.torque - (motion.load ? motion.load(state.time, state.speed) : 0)) / motion.inertia;
    m.first_step(from, motion, h, step);
  } else {
    m.later_step(from, motion, h, step);
  }
  step.newton_steps = m.stage.newton_steps - newton;
  step.factorisations = m.stage.factorisations - factors;
  step.iterations = m.stage.iterations - iterations;
  return step;
}

void TransientField::drop_factor() {
  impl_->stage.drop_factor();
}

std::vector<double> TransientField::branch_currents(const TransientState& state) const {
  const Eigen::VectorXd i = impl_->system.branch_currents(state.time, state.at.circuits);
  return {i.data(), i.data() + i.size()};
}

std::vector<double> TransientField::linkages(const TransientState& state) const {
  std::vector<double> linked;
  for (const SparseVector& b : impl_->system.system.branch) linked.push_back(impl_->system.whole * b.dot(state.at.a));
  return linked;
}

std::vector<double> TransientField::linkage_rates(const TransientState& state) const {
  std::vector<double> rates;
  for (const SparseVector& b : impl_->system.system.branch)
    rates.push_back(state.fresh ? 0 : impl_->system.whole * b.dot(state.rate.a));
  return rates;
}

std::vector<double> TransientField::eddy_losses(const TransientState& state) const {
  if (state.fresh) return std::vector<double>(impl_->system.system.section.regions.size(), 0.0);
  return impl_->system.eddy_losses(state.at, state.rate);
}

StaticSolution TransientField::field(const TransientState& state) const {
  return picture(impl_->system.system.expand(state.at.a), state.angle);
}

StaticSolution TransientField::picture(const std::vector<double>& a, double angle) const {
  StaticSolution now;
  now.a = a;
  now.rotor_angle = angle;
  now.gap = impl_->system.system.annulus->field(impl_->system.system.gather(a), angle);
  return now;
}

int TransientField::unknowns() const {
  return impl_->system.system.size() + impl_->system.size;
}

const LinearTimes& TransientField::linear_times() const {
  return impl_->stage.times();
}

}  // namespace polepitch
