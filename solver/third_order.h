// Fields of third order: Newton's steps from a converged second-order field, each solved by conjugate gradients with
// the second order's factor as preconditioner (docs/theory.md, "Third order"). Vectors z hold the system's unknowns,
// then the bubbles of solver/third_order_tables.h.
#pragma once

#include <span>
#include <vector>

#include "solver/coupled_cholesky.h"
#include "solver/third_order_stiffness.h"

namespace polepitch {

class ThirdOrder {
 public:
  explicit ThirdOrder(const FieldSystem& system);

  int size() const { return tables_.size; }
  std::vector<double> join(const std::vector<double>& x, const std::vector<double>& bubbles) const;
  std::vector<double> source(const Excitation& excitation) const;
  /// The matrix about z (tangent, or reluctivity frozen) for solve, and the internal force there.
  void linearise(const GapTurn& turn, const std::vector<double>& z, bool frozen, std::vector<double>& force);
  /// z += what brings the residual `right` − K z̃ of z̃ = z − (z at the call) down to `reduction` of itself in the
  /// preconditioner's norm; returned is the norm that it had: about the energy norm of the step. `second`: a factor of
  /// the second order's matrix at the same angle.
  double solve(const GapTurn& turn, CoupledCholesky& second, const std::vector<double>& right, double reduction,
               std::vector<double>& z);

  void add_gap(std::span<const double> bubbles, double rotor_angle, GapField& gap) const;
  double linkage(int branch, std::span<const double> bubbles) const;         // of one sector, per metre
  double mean_potential(int region, std::span<const double> bubbles) const;  // Wb/m
  Point flux_density(int triangle, Barycentric at, std::span<const double> bubbles) const;
  double energy(const GapTurn& turn, const std::vector<double>& z) const;  // of one sector, per metre

 private:
  void add_circles(const GapTurn& turn, const std::vector<double>& z, std::vector<double>& y) const;
  void precondition(CoupledCholesky& second, const std::vector<double>& right, std::vector<double>& z) const;
  /// The trace of both orders on a circle: re over im of the unknowns' coefficients.
  struct Circle {
    std::vector<int> unknowns;
    Eigen::MatrixXd map;
  };
  static Circle join(const TraceFourier& second, const TraceFourier& third);
  void show(const Circle& circle, const std::vector<double>& z, Eigen::VectorXd& u) const;
  void add_force(const Circle& circle, const Eigen::VectorXd& u, std::vector<double>& y) const;

  const FieldSystem& system_;
  ThirdOrderTables tables_;
  ThirdOrderStiffness stiffness_;
  Circle gap_[2], outside_;
  Eigen::VectorXd outside_weight_;
  std::vector<double> inverse_diagonal_, fixed_diagonal_;  // of the edges' bubbles
  std::vector<double> residual_, direction_, image_, preconditioned_, step_;
  mutable Eigen::VectorXd local_, shown_[2], sent_;
};

}  // namespace polepitch
