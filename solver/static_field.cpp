#include "solver/static_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "solver/iron_force.h"
#include "solver/settling.h"
#include "solver/static_field_impl.h"
#include "solver/vector_sums.h"

namespace polepitch {
namespace {

/// Traces of third order carry half as many orders again.
SolverOptions raised(SolverOptions options) {
  if (options.third_order) options.harmonics_share *= 1.5;
  return options;
}

}  // namespace

StaticField::Impl::Impl(const Section& section, const Mesh& mesh, const Materials& materials,
                        const SolverOptions& options)
    : system(section, mesh, materials, raised(options)), cholesky(system.pattern, *system.annulus) {
  if (options.third_order && mesh.order == 2) third = std::make_unique<ThirdOrder>(system);
}

void StaticField::Impl::start_at(const std::vector<double>& x) {
  linear_x.assign(x.size(), 0.0);
  system.add_linear_force(turn, x, linear_x);
}

/// x += t step, and the linear part's force with it: no multiplication, since that along the step is known.
void StaticField::Impl::move(std::vector<double>& x, const std::vector<double>& step, double t) {
  for (size_t i = 0; i < x.size(); ++i) {
    x[i] += t * step[i];
    linear_x[i] += t * linear_step[i];
  }
}

/// Sets `values` to the tangent (without the annulus) and `residual` to internal − external force at x, to which
/// linear_x belongs.
void StaticField::Impl::linearise(const std::vector<double>& x, const std::vector<double>& source, bool frozen) {
  values = system.linear;
  residual = linear_x;
  add_iron_stiffness(system, x, frozen, residual, values);
  for (size_t i = 0; i < x.size(); ++i) residual[i] -= source[i];
}

/// Derivative of the energy functional along `step` at x + t step; convex, so it rises with t.
double StaticField::Impl::slope_along(const std::vector<double>& x, const std::vector<double>& step, double t,
                                      const std::vector<double>& source) {
  trial = x;
  for (size_t i = 0; i < x.size(); ++i) trial[i] += t * step[i];
  for (size_t i = 0; i < x.size(); ++i) residual[i] = linear_x[i] + t * linear_step[i];
  add_iron_force(system, trial, residual);
  for (size_t i = 0; i < x.size(); ++i) residual[i] -= source[i];
  return dot(residual, step);
}

/// Solves `values` · solution = right to the relative residual `tolerance`, with the factor at hand as preconditioner.
/// False when that takes more steps than a factorisation is worth.
bool StaticField::Impl::conjugate_gradients(const std::vector<double>& right, std::vector<double>& solution,
                                            double tolerance) {
  constexpr int kMost = 12, kJudge = 2;
  const size_t n = right.size();
  cg_residual = right;
  cg_image.resize(n);
  cg_preconditioned.resize(n);
  cholesky.precondition(cg_residual, cg_preconditioned);
  cg_direction = cg_preconditioned;
  solution.assign(n, 0.0);
  double rz = dot(cg_residual, cg_preconditioned);
  const double start = norm(right), target = tolerance * start;
  for (int k = 0; k < kMost; ++k) {
    std::fill(cg_image.begin(), cg_image.end(), 0.0);
    multiply_symmetric(system.pattern, values, cg_direction, cg_image);
    system.annulus->add_force(turn, cg_direction, cg_image);
    const double alpha = rz / dot(cg_direction, cg_image);
    for (size_t i = 0; i < n; ++i) {
      solution[i] += alpha * cg_direction[i];
      cg_residual[i] -= alpha * cg_image[i];
    }
    const double left = norm(cg_residual);
    if (left <= target) return true;
    // Will it get there? The rate so far says so early; what is tried in vain costs as much as a factor.
    if (k >= kJudge && left > start * std::pow(target / start, (k + 1.0) / kMost)) return false;
    cholesky.precondition(cg_residual, cg_preconditioned);
    const double next = dot(cg_residual, cg_preconditioned);
    for (size_t i = 0; i < n; ++i) cg_direction[i] = cg_preconditioned[i] + next / rz * cg_direction[i];
    rz = next;
  }
  return false;
}

constexpr double kFreshFactor = 1e-3;  // what a factor's own tangent is solved to

/// The factor of this point's first tangent is nearly the inverse of the next ones: a few conjugate-gradient steps with
/// it cost less than a new factor. It never comes from another point, so a chain's results stay the same bit for bit.
void StaticField::Impl::find_step(StaticSolution& solution, double reached, std::vector<double>& step) {
  minus.resize(residual.size());
  for (size_t i = 0; i < minus.size(); ++i) minus[i] = -residual[i];
  const double forcing = std::clamp(0.3 * std::sqrt(reached), 1e-3, 0.1);
  if (solution.factorisations > 0 && conjugate_gradients(minus, step, forcing)) return;
  if (!cholesky.factorise(values, turn)) throw ConvergenceError("the field's tangent is not positive definite");
  ++solution.factorisations;
  // In single precision and one or two steps; where that is not enough, in double.
  if (!conjugate_gradients(minus, step, std::min(forcing, kFreshFactor))) cholesky.solve(minus, step);
}

/// x + step, or less of the step where that overshoots. `minus` is still −R of the start.
void StaticField::Impl::take_step(std::vector<double>& x, const std::vector<double>& step,
                                  const std::vector<double>& source, double scale) {
  linear_step.assign(x.size(), 0.0);
  system.add_linear_force(turn, step, linear_step);
  move(x, step, 1);
  linearise(x, source, false);
  const double slope0 = -dot(minus, step), slope1 = dot(residual, step);
  if (slope1 > 0.5 * std::abs(slope0) && norm(residual) > 1e-6 * scale) {
    move(x, step, -1);
    move(x, step, search_line(slope0, slope1, [&](double t) { return slope_along(x, step, t, source); }));
    linearise(x, source, false);
  }
}

/// Newton's method until the residual is `tolerance` of the sources' `scale`, or `settling` says enough.
void StaticField::Impl::descend(std::vector<double>& x, const std::vector<double>& source, double scale,
                                double tolerance, Settling& settling, StaticSolution& solution) {
  double reached = norm(residual) / scale;
  newton_step.resize(x.size());
  while (!(reached <= tolerance)) {
    if (solution.newton_steps == system.options.max_steps || !std::isfinite(reached))
      throw ConvergenceError("the field did not converge in " + std::to_string(solution.newton_steps) +
                                 " steps (relative residual " + fmt::format("{:.1e}", reached) + ")",
                             "check the currents and the B–H curves; very high currents saturate every part");
    find_step(solution, reached, newton_step);
    take_step(x, newton_step, source, scale);
    const double before = reached;
    reached = norm(residual) / scale;
    solution.residuals.push_back(reached);
    ++solution.newton_steps;
    if (settling.settled(x, reached / before)) break;
  }
}

StaticSolution StaticField::Impl::newton(const Excitation& excitation, std::vector<double> x) {
  StaticSolution solution;
  solution.rotor_angle = excitation.rotor_angle;
  turn = system.annulus->turn(excitation.rotor_angle);
  const std::vector<double> source = system.source(excitation);
  const double scale = norm(source), tolerance = system.options.tolerance;
  Settling settling(system, excitation.rotor_angle);
  if (scale == 0) x.assign(x.size(), 0.0);
  start_at(x);
  linearise(x, source, false);
  if (scale > 0) {
    descend(x, source, scale, third ? std::max(tolerance, system.options.third_order_start) : tolerance, settling,
            solution);
  }
  if (third && scale > 0) {
    raise_order(excitation, x, solution);
  } else {
    solution.a = system.expand(x);
    solution.gap = system.annulus->field(x, excitation.rotor_angle);
  }
  return solution;
}

void StaticField::Impl::spread(const std::vector<double>& z, StaticSolution& solution) const {
  const std::vector<double> x(z.begin(), z.begin() + system.size());
  solution.a = system.expand(x);
  solution.gap = system.annulus->field(x, solution.rotor_angle);
  if (!third) return;
  solution.bubbles.assign(z.begin() + system.size(), z.end());
  third->add_gap(solution.bubbles, solution.rotor_angle, solution.gap);
}

/// Second order's unknowns, and the bubbles behind them where there are any.
std::vector<double> StaticField::Impl::unknowns_of(const StaticSolution& solution) const {
  const std::vector<double> x = system.gather(solution.a);
  return third ? third->join(x, solution.bubbles) : x;
}

/// Newton's steps of third order from the second order's field `x`; `values` and `turn` are its own. The energy is
/// convex: a step that overshoots is made shorter. More than the steps asked for are made where the last is not far
/// shorter than the first.
void StaticField::Impl::raise_order(const Excitation& excitation, const std::vector<double>& x,
                                    StaticSolution& solution) {
  constexpr double kShorter = 0.3;
  constexpr int kMost = 12;
  if (solution.factorisations == 0) {
    if (!cholesky.factorise(values, turn)) throw ConvergenceError("the field's tangent is not positive definite");
    ++solution.factorisations;
  }
  const std::vector<double> source = third->source(excitation);
  std::vector<double> z = third->join(x, {}), residual3, step3, trial3;
  const auto residual_at = [&](const std::vector<double>& at) {
    third->linearise(turn, at, false, residual3);
    for (size_t i = 0; i < residual3.size(); ++i) residual3[i] = source[i] - residual3[i];
  };
  const auto add = [](std::vector<double>& to, const std::vector<double>& step, double part) {
    for (size_t i = 0; i < to.size(); ++i) to[i] += part * step[i];
  };
  residual_at(z);
  double first = 0;
  for (int step = 0;; ++step) {
    step3.assign(z.size(), 0.0);
    const double length = third->solve(turn, cholesky, residual3, system.options.third_order_residual, step3);
    if (step == 0) first = length;
    const double slope0 = -dot(residual3, step3);
    add(z, step3, 1);
    const bool last = step + 1 >= system.options.third_order_steps && length <= kShorter * first;
    if (last) break;
    if (step + 1 == kMost || !std::isfinite(length))
      throw ConvergenceError("the field of third order did not converge from that of second order",
                             "mesh.element_order = \"second\" leaves it out");
    residual_at(z);
    const double slope1 = -dot(residual3, step3);
    if (slope1 > 0.5 * std::abs(slope0)) {
      add(z, step3, -1);
      const double t = search_line(slope0, slope1, [&](double part) {
        trial3 = z;
        add(trial3, step3, part);
        residual_at(trial3);
        return -dot(residual3, step3);
      });
      add(z, step3, t);
      residual_at(z);
    }
  }
  spread(z, solution);
}

void StaticField::Impl::factorise_about(const StaticSolution& state, bool frozen) {
  turn = system.annulus->turn(state.rotor_angle);
  const std::vector<double> nothing(system.size(), 0.0), x = system.gather(state.a);
  start_at(x);
  linearise(x, nothing, frozen);
  if (!cholesky.factorise(values, turn)) throw ConvergenceError("the field's matrix is not positive definite");
}

std::vector<StaticSolution> StaticField::Impl::linear_about(const StaticSolution& state,
                                                            const std::vector<Excitation>& sources, bool frozen) {
  factorise_about(state, frozen);
  std::vector<double> ignored;
  if (third) third->linearise(turn, unknowns_of(state), frozen, ignored);
  std::vector<StaticSolution> solutions;
  std::vector<double> z(third ? third->size() : system.size());
  for (const Excitation& source : sources) {
    if (third) {
      std::fill(z.begin(), z.end(), 0.0);
      third->solve(turn, cholesky, third->source(source), system.options.third_order_linear, z);
    } else {
      cholesky.solve(system.source(source), z);
    }
    StaticSolution& solution = solutions.emplace_back();
    solution.rotor_angle = state.rotor_angle;
    spread(z, solution);
  }
  return solutions;
}

StaticField::StaticField(const Section& section, const Mesh& mesh, const Materials& materials,
                         const SolverOptions& options)
    : impl_(std::make_unique<Impl>(section, mesh, materials, options)) {}
StaticField::~StaticField() = default;
StaticField::StaticField(StaticField&&) noexcept = default;

StaticSolution StaticField::solve(const Excitation& excitation, const StaticSolution* start) {
  std::vector<double> x = start ? impl_->system.gather(start->a) : std::vector<double>(impl_->system.size(), 0.0);
  return impl_->newton(excitation, std::move(x));
}

std::vector<StaticSolution> StaticField::solve_frozen(const StaticSolution& state,
                                                      const std::vector<Excitation>& sources) {
  return impl_->linear_about(state, sources, true);
}

std::vector<StaticSolution> StaticField::solve_tangent(const StaticSolution& state,
                                                       const std::vector<Excitation>& changes) {
  return impl_->linear_about(state, changes, false);
}

const Section& StaticField::section() const {
  return impl_->system.section;
}
const Mesh& StaticField::mesh() const {
  return impl_->system.mesh;
}
const BhCurve& StaticField::curve(int region) const {
  return impl_->system.curves[region];
}
double StaticField::remanence(int region) const {
  return impl_->system.remanence[region];
}
int StaticField::unknowns() const {
  return impl_->system.size();
}
const LinearTimes& StaticField::linear_times() const {
  return impl_->cholesky.times();
}
double StaticField::factor_entries() const {
  return impl_->cholesky.sides().factor_entries();
}
std::vector<int> StaticField::gap_orders() const {
  return impl_->system.annulus->orders();
}

}  // namespace polepitch
