// Factor of the whole system: each side by its own sparse Cholesky with the unknowns of its gap circle last, both
// coupled through the admitted orders alone (docs/theory.md, "Both sides apart"). The rotor angle is only in the last,
// small dense step.
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

#include "solver/annulus.h"
#include "solver/dense_blas.h"
#include "solver/sparse_cholesky.h"
#include "solver/static_field.h"

namespace polepitch {

class CoupledCholesky {
 public:
  /// `pattern` of the elements: no entry between the two sides, the annulus in none. Keeps a reference to the annulus.
  CoupledCholesky(const LowerPattern& pattern, const Annulus& annulus);

  /// Factorises both sides, each with its own block of the annulus; what follows couples them at the angle of `turn`.
  /// False when a side is not positive definite.
  bool factorise(std::span<const double> values, const GapTurn& turn);
  /// Another angle of the same sides.
  void turn_to(const GapTurn& turn);
  void solve(std::span<const double> right, std::span<double> solution);
  /// About the same, coupled and solved in single precision and half the time: for iterations that correct themselves.
  void precondition(std::span<const double> right, std::span<double> solution);
  /// The three parts of a solve: y = L⁻¹ P right of both sides; the exchange between the rows of y that belong to the
  /// gap circles, at the angle at hand; solution = Pᵀ L⁻ᵀ y (y is overwritten). K⁻¹ is the product of the three.
  void forward(std::span<const double> right, std::span<double> y) { sides_.forward(right, y); }
  void couple(std::span<double> y);
  void backward(std::span<double> y, std::span<double> solution) { sides_.backward(y, solution); }

  const SparseCholesky& sides() const { return sides_; }
  const LinearTimes& times() const { return times_; }

 private:
  /// Per side: X = L⁻¹ Tᵀ of its dense triangle, T the traces' map, and the admittance XᵀX that its circle shows to the
  /// orders of the annulus; then the reduced system of the orders at one angle. Made when first asked for.
  template <class Real>
  struct Coupling {
    bool sides_old = true, angle_old = true;
    dense::Matrix<Real> x[2], admittance[2], turned[2];
    dense::Lu<Real> reduced;
    std::vector<Real> triangle;
    dense::Vector<Real> orders[3];
  };
  template <class Real>
  void prepare(Coupling<Real>& coupling);
  template <class Real>
  void couple(Coupling<Real>& coupling, Real* y);

  const Annulus& annulus_;
  LowerPattern with_gap_;
  std::vector<int> position_;  // of the caller's entries in with_gap_
  std::vector<double> gap_values_, values_;
  SparseCholesky sides_;
  Eigen::MatrixXd trace_[2];  // per side: the traces' map in the order of elimination, transposed
  GapTurn turn_;
  Coupling<double> coupling_;
  Coupling<float> single_;
  std::vector<double> y_;
  std::vector<float> single_y_;
  LinearTimes times_;
};

}  // namespace polepitch
