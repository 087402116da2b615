// Supernodal Cholesky of a symmetric positive definite matrix of fixed pattern: one analysis, many factorisations.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "solver/float_factor.h"

namespace polepitch {

/// Lower triangle by columns, diagonal included, rows ascending.
struct LowerPattern {
  int size = 0;
  std::vector<int> column_start;  // size + 1
  std::vector<int> row;

  int position(int r, int c) const;  // of entry (r, c), r >= c; −1 when it is not in the pattern
};

/// Pattern of element connectivities: each group couples all its unknowns (negative entries are skipped).
LowerPattern build_pattern(int size, std::span<const std::vector<int>> groups);

/// K = Pᵀ L Lᵀ P, P the fill-reducing order.
class SparseCholesky {
 public:
  /// The unknowns of each of `last` are eliminated after all others, group by group in this order. Unknowns of
  /// different groups must not be coupled, not even by way of others.
  explicit SparseCholesky(const LowerPattern& pattern, std::span<const std::vector<int>> last = {});
  ~SparseCholesky();
  SparseCholesky(SparseCholesky&&) noexcept;

  /// False when the matrix is not positive definite.
  bool factorise(std::span<const double> values);
  void solve(std::span<const double> right, std::span<double> solution);
  /// The two halves of a solve: y = L⁻¹ P right, of one column or several one after the other, and solution = Pᵀ L⁻ᵀ y
  /// (y is overwritten).
  void forward(std::span<const double> right, std::span<double> y, int columns = 1);
  void backward(std::span<double> y, std::span<double> solution);

  /// The factor at hand in single precision, until the next factorise(); vectors are in the order of elimination.
  FloatFactor& in_single_precision();
  const std::vector<int>& order() const;  // unknown at each place

  /// Place in the order of each of the group's unknowns: they are consecutive, from first_of(group).
  int first_of(int group) const;
  std::vector<int> unknowns_of(int group) const;  // in the order of elimination
  /// Copies the group's dense triangle of L, column by column; above the diagonal it is 0.
  template <class Real>
  void copy_block(int group, std::vector<Real>& dense) const;

  double factor_entries() const;  // non-zeros of L
  double stored_entries() const;  // with the zeros that supernodes store

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// y += K x for the lower triangle `values` of the pattern.
void multiply_symmetric(const LowerPattern& pattern, std::span<const double> values, std::span<const double> x,
                        std::span<double> y);

/// BLAS runs on one thread: workers share the cores, not one factorisation. Called once at start.
void pin_blas_to_one_thread();

}  // namespace polepitch
