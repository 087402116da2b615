// Supernodal Cholesky of a symmetric positive definite matrix of fixed pattern: one analysis, many factorisations.
#pragma once

#include <memory>
#include <span>
#include <vector>

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

class SparseCholesky {
 public:
  explicit SparseCholesky(const LowerPattern& pattern);
  ~SparseCholesky();
  SparseCholesky(SparseCholesky&&) noexcept;

  /// False when the matrix is not positive definite.
  bool factorise(std::span<const double> values);
  void solve(std::span<const double> right, std::span<double> solution);
  double factor_entries() const;

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
