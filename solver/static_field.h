// Nonlinear magnetostatics of one sector with rotation through the analytic annulus: pose once per mesh, solve often.
#pragma once

#include <memory>
#include <vector>

#include "geometry/mesh.h"
#include "geometry/section.h"
#include "solver/gap_field.h"
#include "solver/material.h"

namespace polepitch {

struct SolverOptions {
  double tolerance = 1e-8;  // of the residual, relative to the sources'
  int max_steps = 60;
  /// Where above 0, Newton also stops once what is left of torque, over torque_scale, and of each linkage, over the
  /// largest of its kind, is estimated below this. The rest of the field is then as far from its end as these.
  double stop_change = 0;
  double torque_scale = 0;             // N m, whole machine, such as the rated torque; 0: the torque itself
  double harmonics_per_gap = 3.5;      // n_max = this × R/g …
  double harmonics_share = 0.5;        // … but never more than this × edges on the coarser gap circle (whole circle)
  double temperature = 293.15;         // K, of magnets
  double third_order_start = 1.5e-2;   // residual of second order, relative to the sources', where third order begins
  int third_order_steps = 2;           // of Newton's method, at least
  double third_order_residual = 0.05;  // left by each of them (docs/performance.md)
  double third_order_linear = 1e-4;    // left by linear fields
  bool third_order = false;            // fields of third-order elements, from the second order's (second-order meshes)
};

/// What one point asks for.
struct Excitation {
  std::vector<double> currents;  // A, instantaneous, one per Section::branches (terminal current; 0 where missing)
  double rotor_angle = 0;        // rad, mechanical
  double magnets = 1;            // scale of every remanence (0: sources without magnets)
};

/// A converged field. Nodal values are of the stator's and rotor's own frames.
struct StaticSolution {
  std::vector<double> a;        // Wb/m, one per mesh node
  std::vector<double> bubbles;  // Wb/m, what third order adds between the nodes; empty: second order
  double rotor_angle = 0;
  GapField gap;
  int newton_steps = 0;
  int factorisations = 0;
  std::vector<double> residuals;  // relative, one per step
};

/// Processor time that the linear algebra took so far [s].
struct LinearTimes {
  double factorise = 0, solve = 0;
  int factorisations = 0, solves = 0;
};

class StaticField {
 public:
  /// Keeps references to section and mesh. Throws InputError for an unknown material.
  StaticField(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options = {});
  ~StaticField();
  StaticField(StaticField&&) noexcept;

  /// Newton with line search from `start` (or from zero). Throws ConvergenceError; never returns an unconverged field.
  StaticSolution solve(const Excitation& excitation, const StaticSolution* start = nullptr);

  /// Linear field of `sources` with the reluctivity frozen at the quadrature points of `state` (magnets count as
  /// sources). One factorisation serves every entry of `sources`; all take the rotor angle of `state`.
  std::vector<StaticSolution> solve_frozen(const StaticSolution& state, const std::vector<Excitation>& sources);

  /// Small change of the field per small change of sources, from the Newton tangent at `state`
  /// (magnets count as sources here too: leave Excitation::magnets at 0 for a change of currents).
  std::vector<StaticSolution> solve_tangent(const StaticSolution& state, const std::vector<Excitation>& changes);

  const Section& section() const;
  const Mesh& mesh() const;
  const BhCurve& curve(int region) const;
  double remanence(int region) const;  // T, at the options' temperature
  int unknowns() const;
  std::vector<int> gap_orders() const;
  const LinearTimes& linear_times() const;
  double factor_entries() const;  // non-zeros of both sides' factors

  /// Flux density [T] at the given barycentric point of a triangle, in the side's own frame.
  struct Vector {
    double x, y;
  };
  Vector flux_density(const StaticSolution& solution, int triangle, double l1, double l2) const;
  /// Field strength [A/m]: ν(B) B, for magnets ν (B − B_rem).
  Vector field_strength(const StaticSolution& solution, int triangle, double l1, double l2) const;
  /// Current density [A/m2] of a region.
  double current_density(const Excitation& excitation, int region) const;

  /// Whole machine, per the section's length: magnetic energy ∫w dV [J] and co-energy [J] (currents' and magnets').
  double energy(const StaticSolution& solution) const;
  double coenergy(const StaticSolution& solution, const Excitation& excitation) const;
  /// λ of each branch [Wb turns], whole machine: L Σ turns × mean A (no end winding).
  std::vector<double> linkages(const StaticSolution& solution) const;
  /// Mean A over a region [Wb/m].
  double mean_potential(const StaticSolution& solution, int region) const;
  /// Torque on the rotor [N m], whole machine: annulus; and by nodal virtual work in the elements of one side.
  double torque(const StaticSolution& solution) const;
  double torque_virtual_work(const StaticSolution& solution, Side side) const;
  /// Arkkio's integral over the elements of one side between its gap circle and its bore or rotor surface: a
  /// diagnostic.
  double torque_arkkio(const StaticSolution& solution, Side side) const;
  /// A at a point of a side's own frame (any angle: sectors are folded back with their sign).
  double potential(const StaticSolution& solution, Side side, Point p) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
