#include "solver/transient_stage.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "solver/iron_force.h"

namespace polepitch {
namespace {

constexpr int kMostIterations = 10;  // of conjugate gradients: beyond, a new factor is cheaper
constexpr double kForcing = 0.03;    // of the residual: a step's own accuracy where conjugate gradients find it
constexpr int kWorthAFactor = 5;     // once so many were needed, the next tangent is factorised

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

double norm(const std::vector<double>& v) {
  return std::sqrt(dot(v, v));
}

void add(std::vector<double>& y, double scale, const std::vector<double>& x) {
  for (size_t i = 0; i < y.size(); ++i) y[i] += scale * x[i];
}

}  // namespace

TransientStage::TransientStage(TransientSystem& system)
    : system_(system), cholesky_(system.system.pattern, *system.system.annulus) {}

void TransientStage::new_border() {
  tau_ = 0;  // another corner
  cholesky_.set_border(system_.border());
  factorised_ = false;
}

void TransientStage::prepare(double time, double tau, const TransientLevel& base) {
  const FieldSystem& field = system_.system;
  if (tau != tau_) {
    linear_ = field.linear;
    for (size_t k = 0; k < linear_.size(); ++k) linear_[k] += system_.mass[k] / tau;
    corner_ = system_.corner(tau);
  }
  tau_ = tau;
  source_ = system_.source(time);
  constant_ = source_;
  std::vector<double> held(base.a.size(), 0.0);
  multiply_symmetric(field.pattern, system_.mass, base.a, held);
  add(constant_, 1 / tau, held);
  corner_source_ = system_.corner_source(tau, time, base);
}

/// Tangent, force and residual at x, to which linear_x_ belongs.
void TransientStage::linearise(const TransientLevel& x) {
  values_ = linear_;
  residual_ = linear_x_;
  add_iron_stiffness(system_.system, x.a, false, residual_, values_);
  add(residual_, -1, constant_);
  system_.add_border(x.circuits, residual_);
  border_residual_ = system_.border_dot(x.a) + corner_ * x.circuits - corner_source_;
}

/// Sources of the field at x: magnets, fed branches, loops and bars.
double TransientStage::source_size(const TransientLevel& x) {
  image_.assign(x.a.size(), 0.0);
  system_.add_border(x.circuits, image_);
  add(image_, -1, source_);
  return norm(image_);
}

/// (Tangent and annulus) · step and the border's part.
void TransientStage::apply(const TransientLevel& step, std::vector<double>& image) const {
  image.assign(step.a.size(), 0.0);
  multiply_symmetric(system_.system.pattern, values_, step.a, image);
  system_.system.annulus->add_force(turn_, step.a, image);
  system_.add_border(step.circuits, image);
}

void TransientStage::factorise() {
  if (!cholesky_.factorise(values_, turn_)) throw ConvergenceError("the field's tangent is not positive definite");
  if (!cholesky_.set_corner(corner_))
    throw ConvergenceError("the circuits have no solution",
                           "a loop of windings needs a resistance, an inductance or flux of its own");
  factorised_ = true;
  factor_tau_ = tau_;
  ++factorisations;
}

/// The factor of an earlier tangent has the same border, and so answers the border's rows exactly: what it leaves is in
/// the field's rows alone, and conjugate gradients keep it there (N. I. M. Gould, M. E. Hribar, J. Nocedal 2001).
bool TransientStage::conjugate_gradients(double goal, TransientLevel& step) {
  const Eigen::VectorXd nothing = Eigen::VectorXd::Zero(corner_source_.size());
  cholesky_.solve(left_, nothing, preconditioned_.a, preconditioned_.circuits);
  direction_ = preconditioned_;
  double rz = dot(left_, preconditioned_.a);
  for (int k = 1; k <= kMostIterations; ++k) {
    apply(direction_, image_);
    const double alpha = rz / dot(direction_.a, image_);
    if (!std::isfinite(alpha)) return false;
    add(step.a, alpha, direction_.a);
    step.circuits += alpha * direction_.circuits;
    add(left_, -alpha, image_);
    ++iterations;
    if (norm(left_) <= goal) {
      if (k >= kWorthAFactor) factorised_ = false;
      return true;
    }
    cholesky_.solve(left_, nothing, preconditioned_.a, preconditioned_.circuits);
    const double next = dot(left_, preconditioned_.a);
    for (size_t i = 0; i < left_.size(); ++i) direction_.a[i] = preconditioned_.a[i] + next / rz * direction_.a[i];
    direction_.circuits = preconditioned_.circuits + next / rz * direction_.circuits;
    rz = next;
  }
  return false;
}

void TransientStage::find_step(double goal, bool first, TransientLevel& step) {
  std::vector<double> minus = residual_;
  for (double& r : minus) r = -r;
  if (factorised_) {
    cholesky_.solve(minus, -border_residual_, step.a, step.circuits);
    apply(step, image_);
    left_ = minus;
    add(left_, -1, image_);
    const double left = norm(left_), right = norm(minus);
    // At first the circuits move the field, and the residual does not say yet how far.
    const double wanted = std::max(goal, kForcing * (first ? left : right));
    if (left <= wanted) return;
    if ((first || left < right) && conjugate_gradients(wanted, step)) return;
  }
  factorise();
  cholesky_.solve(minus, -border_residual_, step.a, step.circuits);
}

void TransientStage::move(TransientLevel& x, const TransientLevel& step, double t) {
  add(x.a, t, step.a);
  x.circuits += t * step.circuits;
  add(linear_x_, t, linear_step_);
}

/// Derivative along `step` of the functional whose gradient is the field's residual where the border's rows hold.
double TransientStage::slope_along(const TransientLevel& x, const TransientLevel& step, double t) {
  trial_ = x.a;
  add(trial_, t, step.a);
  residual_ = linear_x_;
  add(residual_, t, linear_step_);
  add_iron_force(system_.system, trial_, residual_);
  add(residual_, -1, constant_);
  system_.add_border(x.circuits + t * step.circuits, residual_);
  return dot(residual_, step.a);
}

void TransientStage::take_step(TransientLevel& x, const TransientLevel& step, bool first) {
  const FieldSystem& field = system_.system;
  linear_step_.assign(x.a.size(), 0.0);
  multiply_symmetric(field.pattern, linear_, step.a, linear_step_);
  field.annulus->add_force(turn_, step.a, linear_step_);
  const double slope0 = dot(residual_, step.a), before = norm(residual_);
  move(x, step, 1);
  linearise(x);
  // The first step of a stage sets the circuits right, whatever iron says; later ones go downhill.
  if (first || field.nonlinear.elements.empty() || norm(residual_) < 0.5 * before) return;
  const double slope1 = dot(residual_, step.a);
  if (slope1 <= 0.5 * std::abs(slope0)) return;
  move(x, step, -1);
  move(x, step, search_line(slope0, slope1, [&](double t) { return slope_along(x, step, t); }));
  linearise(x);
}

void TransientStage::solve(double time, double tau, const GapTurn& turn, const TransientLevel& base,
                           TransientLevel& x) {
  turn_ = turn;
  prepare(time, tau, base);
  if (factorised_ && factor_tau_ != tau && std::abs(tau / factor_tau_ - 1) > 0.3) factorised_ = false;
  if (factorised_) {
    cholesky_.turn_to(turn_);
    factorised_ = cholesky_.set_corner(corner_);
  }
  linear_x_.assign(x.a.size(), 0.0);
  multiply_symmetric(system_.system.pattern, linear_, x.a, linear_x_);
  system_.system.annulus->add_force(turn_, x.a, linear_x_);
  linearise(x);
  const double tolerance = system_.options.field.tolerance;
  double left = 0;
  for (int k = 0; k < system_.options.field.max_steps; ++k) {
    TransientLevel step;
    find_step(0.3 * tolerance * source_size(x), k == 0, step);
    take_step(x, step, k == 0);
    ++newton_steps;
    left = norm(residual_);
    const double scale = source_size(x);
    if (!std::isfinite(left)) break;
    if (left <= tolerance * scale) {
      force_ = residual_;  // F = R + constant − border − M x/τ
      add(force_, 1, constant_);
      system_.add_border(-x.circuits, force_);
      image_.assign(x.a.size(), 0.0);
      multiply_symmetric(system_.system.pattern, system_.mass, x.a, image_);
      add(force_, -1 / tau, image_);
      return;
    }
    left /= scale;
  }
  throw ConvergenceError(fmt::format("the field at {:.6g} s did not converge in {} steps (relative residual {:.1e})",
                                     time, system_.options.field.max_steps, left),
                         "smaller steps may; see tolerance and steps_per_period");
}

}  // namespace polepitch
