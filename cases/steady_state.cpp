#include "cases/steady_state.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <exception>
#include <thread>

#include "cases/adaption.h"
#include "cases/load.h"
#include "cases/skew.h"
#include "cases/study_tools.h"
#include "cases/terminal_condition.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

// Of a voltage: two steps of conjugate gradients to 3 % leave a thousandth of what third order adds. That is some 1e-3
// of a linkage, on coarse meshes of saturated iron 1e-2 and more; always it is far below the mesh's own error.
constexpr double kThirdOrderRest = 2e-6;
// Up to so many of them where no step comes nearer any more; past pull-out far more is left. Steps go on while they
// gain three tenths, and while any does beyond the nearer bound: of 1,283 points of coarse meshes 148 then had more
// than 1, three more than 20 and the worst 45 (1e-4 of the voltage, where the linkages' error was 2e-4).
constexpr double kOverRest = 100, kNear = 20, kSlow = 0.7;

void check(const Section& section) {
  if (phase_count(section) == 0)
    throw InputError("a load point needs a stator winding", "give the machine a [winding]");
  if (has_bars(section))
    throw InputError("a load point at synchronous speed does not fit a cage rotor, which carries no current there",
                     "take a rotor with field winding, magnets or barriers");
}

struct Matrix2 {
  Phasor columns[2];
};

/// Step y with columns · y = right, two real equations in two unknowns; not finite where the columns are parallel.
std::array<double, 2> solve2(const Matrix2& a, Phasor right) {
  const auto cross = [](Phasor u, Phasor v) { return u.real() * v.imag() - u.imag() * v.real(); };
  const double det = cross(a.columns[0], a.columns[1]);
  return {cross(right, a.columns[1]) / det, cross(a.columns[0], right) / det};
}

/// ∂(R i + jωλ − u)/∂ each unknown.
Matrix2 jacobian(const TerminalTrial& t, const InductanceMatrix& l, const SteadyOptions& o) {
  Matrix2 a;
  for (size_t k = 0; k < 2; ++k) {
    const double d = t.d_current[k].real(), q = t.d_current[k].imag(), f = t.d_field_current[k];
    const Phasor linkage{l.dd * d + l.dq * q + l.df * f, l.qd * d + l.qq * q + l.qf * f};
    a.columns[k] = o.resistance * t.d_current[k] + Phasor{0, o.omega} * linkage - t.d_voltage[k];
  }
  return a;
}

}  // namespace

SteadyOptions steady_options(const StudyContext& context, int positions, bool with_resistance) {
  SteadyOptions options;
  options.positions = positions;
  options.omega = rated_omega(context.kase);
  options.voltage_scale = per_unit_base(context.kase.machine).voltage;
  if (solver_options(context.kase).third_order) options.field_rest = kThirdOrderRest;
  if (context.kase.machine.winding.present) {
    const WindingData data = winding_data(context.section, context.kase.machine, context.kase.materials);
    options.end_winding = data.end_inductance;
    if (with_resistance) options.resistance = data.resistance;
  }
  return options;
}

double SteadyPoint::load_angle() const {
  return std::arg(voltage * Phasor{0, -1});
}

Phasor complex_power(const SteadyPoint& point, int phases) {
  return 0.5 * phases * point.voltage * std::conj(point.current);
}

SteadyState::SteadyState(StudyContext& context, const SteadyOptions& options) : context_(context), options_(options) {
  check(context.section);
  phases_ = phase_count(context.section);
  wound_ = field_branch(context.section) >= 0;
  const std::vector<double> offsets = skew_offsets(context.kase);
  slices_ = offsets.size();
  const double step = ripple_period(context.section) / options.positions;
  for (int k = 0; k < options.positions; ++k)
    for (double offset : offsets) {
      positions_.emplace_back();
      positions_.back().angle = options.rotor_angle + k * step;
      positions_.back().offset = offset;
    }
}

/// A position's field starts from its own field before: the same bits with any number of workers.
void SteadyState::each_position(const std::function<void(StaticField&, Position&)>& work) {
  const int workers = std::min(context_.fields.workers(), static_cast<int>(positions_.size()));
  std::atomic<size_t> next{0};
  std::vector<std::exception_ptr> failures(positions_.size());
  const auto run = [&](int worker) {
    for (size_t k = next++; k < positions_.size(); k = next++) try {
        work(context_.fields.of(worker), positions_[k]);
      } catch (...) {
        failures[k] = std::current_exception();
      }
  };
  std::vector<std::thread> threads;
  for (int worker = 1; worker < workers; ++worker) threads.emplace_back(run, worker);
  run(0);
  for (std::thread& thread : threads) thread.join();
  for (const std::exception_ptr& failure : failures)
    if (failure) std::rethrow_exception(failure);
}

StaticSolution SteadyState::predicted(const Position& position, Phasor current, double field_current) const {
  StaticSolution start = position.solved;
  // The responses are to currents along the slice's own axes.
  const Phasor change = (current - last_.current) * std::polar(1.0, -context_.section.pole_pairs * position.offset);
  const double by[] = {change.real(), change.imag(), field_current - last_.field_current};
  for (size_t k = 0; k < position.responses.size(); ++k)
    for (size_t i = 0; i < start.a.size(); ++i) start.a[i] += by[k] * position.responses[k].a[i];
  return start;
}

SteadyPoint SteadyState::evaluate(Phasor current, double field_current) {
  const Section& section = context_.section;
  const size_t n = positions_.size() / slices_;
  SteadyPoint point{.current = current, .field_current = field_current};
  point.torques.resize(n);
  point.lambda_d.resize(n);
  point.lambda_q.resize(n);
  point.field_solves = 1;
  struct Slice {
    double torque = 0, field_linkage = 0;
    Dq linkage;
  };
  std::vector<Slice> slices(positions_.size());
  each_position([&](StaticField& field, Position& position) {
    Slice& slice = slices[static_cast<size_t>(&position - positions_.data())];
    const StaticSolution start = predicted(position, current, field_current);
    position.trial = field.solve(excitation(current, field_current, position), start.a.empty() ? nullptr : &start);
    const std::vector<double> linkages = field.linkages(position.trial);
    slice.linkage = phases_to_dq(section, linkages, position.angle);
    slice.torque = field.torque(position.trial);
    if (wound_) slice.field_linkage = linkages[static_cast<size_t>(field_branch(section))];
  });
  const double share = 1 / static_cast<double>(slices_);
  for (size_t k = 0; k < slices.size(); ++k) {
    point.torques[k / slices_] += share * slices[k].torque;
    point.lambda_d[k / slices_] += share * slices[k].linkage.d;
    point.lambda_q[k / slices_] += share * slices[k].linkage.q;
    point.field_linkage += share / static_cast<double>(n) * slices[k].field_linkage;
  }
  for (size_t k = 0; k < n; ++k) {
    point.lambda_d[k] += options_.end_winding * current.real();
    point.lambda_q[k] += options_.end_winding * current.imag();
    point.torque += point.torques[k] / static_cast<double>(n);
    point.linkage += Phasor{point.lambda_d[k], point.lambda_q[k]} / static_cast<double>(n);
  }
  point.voltage = options_.resistance * current + Phasor{0, options_.omega} * point.linkage;
  return point;
}

void SteadyState::accept(const SteadyPoint& point) {
  for (Position& position : positions_) std::swap(position.solved, position.trial);
  last_ = point;
  fresh_ = false;
}

SteadyPoint SteadyState::at(Phasor current, double field_current) {
  const SteadyPoint point = evaluate(current, field_current);
  accept(point);
  return point;
}

InductanceMatrix SteadyState::inductances() {
  if (!fresh_)
    each_position([&](StaticField& field, Position& position) {
      position.responses = tangent_responses(field, position.solved);
      position.inductances = turned(response_linkages(field, position.responses, options_.end_winding),
                                    context_.section.pole_pairs * position.offset);
    });
  fresh_ = true;
  std::vector<InductanceMatrix> all;
  for (const Position& position : positions_) all.push_back(position.inductances);
  return mean(all);
}

FrozenInductances SteadyState::frozen() {
  std::vector<FrozenInductances> all(positions_.size());
  each_position([&](StaticField& field, Position& position) {
    all[static_cast<size_t>(&position - positions_.data())] =
        turned(frozen_inductances(field, position.solved, options_.end_winding),
               context_.section.pole_pairs * position.offset);
  });
  return mean(std::span<const FrozenInductances>(all));
}

/// Currents are those of the middle of the stack.
Excitation SteadyState::excitation(Phasor current, double field_current, const Position& position) const {
  Excitation e = dq_excitation(context_.section, {current.real(), current.imag(), 0}, field_current, position.angle);
  e.rotor_angle += position.offset;
  return e;
}

Excitation SteadyState::excitation(const SteadyPoint& point, int position) const {
  return excitation(point.current, point.field_current, positions_[middle_of(position)]);
}

/// Open circuit with about the voltage that is asked for, on the unsaturated line.
SteadyPoint SteadyState::no_load(const Terminal& terminal) {
  SteadyPoint point = at(0, terminal.given == Terminal::Given::powers ? 0 : terminal.field_current);
  if (terminal.given != Terminal::Given::powers) return point;
  return at(0, terminal.voltage / (options_.omega * inductances().df));
}

SteadyPoint SteadyState::solve(const Terminal& terminal, const SteadyPoint* start) {
  if (terminal.given == Terminal::Given::powers && !wound_)
    throw InputError("both powers are given, but this rotor has no field winding that could meet them",
                     "leave the power factor out: it follows from voltage and power");
  const SteadyPoint near = start ? *start : no_load(terminal);
  std::array<double, 2> unknowns = unknowns_at(terminal, near, phases_);
  const bool by_power = terminal.given == Terminal::Given::powers || terminal.given == Terminal::Given::power;
  if (!start && by_power) unknowns[0] = std::copysign(0.2, terminal.power);  // rad: on the side of the answer
  if (terminal.given == Terminal::Given::current_only && unknowns[1] == 0)
    throw InputError("a voltage follows from the current only where the machine has a field",
                     "give a field current that is not 0");
  return newton(terminal, unknowns);
}

struct SteadyState::Iterate {
  std::array<double, 2> unknowns{};
  TerminalTrial trial;
  SteadyPoint point;
  double left = 0;  // V, between the field's voltage and the terminal's
};

/// The field at these unknowns; where it holds already, without a solution.
SteadyState::Iterate SteadyState::at_unknowns(const Terminal& terminal, const std::array<double, 2>& unknowns) {
  Iterate at{unknowns, terminal_trial(terminal, unknowns, phases_), last_, 0};
  const bool known =
      last_.field_solves > 0 && at.trial.current == last_.current && at.trial.field_current == last_.field_current;
  at.point.field_solves = 0;
  if (!known) at.point = evaluate(at.trial.current, at.trial.field_current);
  at.left = std::abs(at.point.voltage - at.trial.voltage);
  return at;
}

/// A whole Newton step, or the largest half, quarter … of it that comes nearer; false where none does.
bool SteadyState::step_nearer(const Terminal& terminal, const InductanceMatrix& inductances, Iterate& at, int& solves) {
  const int most_halvings = at.left <= kNear / kOverRest * rest() ? 1 : 6;
  const std::array<double, 2> step =
      solve2(jacobian(at.trial, inductances, options_), at.trial.voltage - at.point.voltage);
  if (!std::isfinite(step[0]) || !std::isfinite(step[1])) return false;
  double share = step_limit(terminal, step);
  for (int halvings = 0; halvings < most_halvings; ++halvings, share *= 0.5) try {
      ++solves;
      Iterate next = at_unknowns(terminal, {at.unknowns[0] + share * step[0], at.unknowns[1] + share * step[1]});
      if (!(next.left < at.left)) continue;
      if (next.point.field_solves > 0) accept(next.point);
      at = std::move(next);
      return true;
    } catch (const ConvergenceError&) {  // the field itself: so far from the last one, a shorter step may have it
      if (halvings + 1 == most_halvings) return false;
    }
  return false;
}

/// V, of fields of third order: where they are no longer known well enough to come nearer. Of second order nothing.
double SteadyState::rest() const {
  return options_.field_rest > options_.tolerance ? kOverRest * options_.field_rest * options_.voltage_scale : 0;
}

SteadyPoint SteadyState::newton(const Terminal& terminal, const std::array<double, 2>& unknowns) {
  const double enough = options_.tolerance * options_.voltage_scale;
  Iterate at = at_unknowns(terminal, unknowns);
  int solves = at.point.field_solves, k = 0;
  if (solves > 0) accept(at.point);
  double before = 0;
  InductanceMatrix l;
  for (; at.left > enough && k < options_.most_iterations; ++k) {
    context_.progress(0);
    // A tangent that brought the last step this near serves once more.
    if (k == 0 || at.left > 0.05 * before) l = inductances();
    before = at.left;
    if (!step_nearer(terminal, l, at, solves)) break;
    if (at.left <= kNear / kOverRest * rest() && at.left > kSlow * before) break;
  }
  if (at.left > std::max(enough, rest()))
    throw ConvergenceError(
        fmt::format("no steady state is found at {}; {:.2g} V of the voltage are left after {} steps",
                    describe(terminal), at.left / std::sqrt(2.0), k),
        "the point may lie past the pull-out of this field current, or need more field than the iron carries");
  at.point.iterations = k;
  at.point.field_solves = solves;
  last_.field_solves = std::max(1, last_.field_solves);
  return at.point;
}

}  // namespace polepitch
