// A field's matrix with a border of circuits,
//     | K  B | | x |   | f |
//     | Bᵀ D | | z | = | g |,
// K factorised as in solver/coupled_cholesky.h, z found by the Schur complement D − Bᵀ K⁻¹ B. Another rotor angle or
// another D costs no new factor of K.
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "solver/coupled_cholesky.h"
#include "solver/field_system.h"

namespace polepitch {

class BorderedCholesky {
 public:
  /// Keeps a reference to the annulus.
  BorderedCholesky(const LowerPattern& pattern, const Annulus& annulus);

  /// Columns of B. Takes effect with the next factorise().
  void set_border(std::vector<SparseVector> columns);
  /// False when K is not positive definite. set_corner() must follow.
  bool factorise(std::span<const double> values, const GapTurn& turn);
  /// Another angle with the same factor. set_corner() must follow.
  void turn_to(const GapTurn& turn);
  /// False where the Schur complement is singular: circuits without any impedance and flux.
  bool set_corner(const Eigen::MatrixXd& d);
  void solve(const std::vector<double>& f, const Eigen::VectorXd& g, std::vector<double>& x, Eigen::VectorXd& z);

  const std::vector<SparseVector>& border() const { return columns_; }
  const LinearTimes& times() const { return cholesky_.times(); }

 private:
  void forward_border();
  void couple_border();
  CoupledCholesky cholesky_;
  std::vector<SparseVector> columns_;
  // Rows of y = L⁻¹ P b that belong to a gap circle are changed by the exchange, all others are not.
  struct Rows {
    Eigen::Index first = 0, count = 0;
    Eigen::MatrixXd change;  // of the border's columns
  } gap_[2];
  Eigen::MatrixXd forward_;  // L⁻¹ P B
  Eigen::MatrixXd plain_;    // its own products
  Eigen::MatrixXd schur_;    // Bᵀ K⁻¹ B
  Eigen::FullPivLU<Eigen::MatrixXd> corner_;
  std::vector<double> y_;
};

}  // namespace polepitch
