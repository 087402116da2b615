// Inside of StaticField, shared by its two source files.
#pragma once

#include "geometry/locator.h"
#include "solver/coupled_cholesky.h"
#include "solver/field_system.h"
#include "solver/settling.h"
#include "solver/third_order.h"

namespace polepitch {

struct StaticField::Impl {
  FieldSystem system;
  CoupledCholesky cholesky;
  GapTurn turn;  // of the point at hand
  std::vector<double> values, residual, minus, trial, newton_step;
  std::vector<double> linear_x, linear_step;  // force of the linear part at x and along the step
  std::vector<double> cg_residual, cg_direction, cg_image, cg_preconditioned;
  std::unique_ptr<Locator> locator[2];
  std::unique_ptr<ThirdOrder> third;  // where the options ask for it

  Impl(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options);
  void start_at(const std::vector<double>& x);
  void move(std::vector<double>& x, const std::vector<double>& step, double t);
  void linearise(const std::vector<double>& x, const std::vector<double>& source, bool frozen);
  double slope_along(const std::vector<double>& x, const std::vector<double>& step, double t,
                     const std::vector<double>& source);
  bool conjugate_gradients(const std::vector<double>& right, std::vector<double>& solution, double tolerance);
  void find_step(StaticSolution& solution, double reached, std::vector<double>& step);
  void take_step(std::vector<double>& x, const std::vector<double>& step, const std::vector<double>& source,
                 double scale);
  void descend(std::vector<double>& x, const std::vector<double>& source, double scale, double tolerance,
               Settling& settling, StaticSolution& solution);
  StaticSolution newton(const Excitation& excitation, std::vector<double> x);
  /// Nodal values, bubbles and gap of a point's unknowns of third order.
  void spread(const std::vector<double>& z, StaticSolution& solution) const;
  void raise_order(const Excitation& excitation, const std::vector<double>& x, StaticSolution& solution);
  /// Throws logic_error where this field has second order and the solution third.
  bool has_bubbles(const StaticSolution& solution) const;
  /// What the bubbles add to B at a point.
  Point flux_between(const StaticSolution& solution, int triangle, Barycentric at) const;
  std::vector<double> unknowns_of(const StaticSolution& solution) const;
  /// The matrix that belongs to a solved field: frozen reluctivity, or the tangent. `cholesky` then solves with it.
  void factorise_about(const StaticSolution& state, bool frozen);
  std::vector<StaticSolution> linear_about(const StaticSolution& state, const std::vector<Excitation>& sources,
                                           bool frozen);
};

}  // namespace polepitch
