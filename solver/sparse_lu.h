// Sparse LU of matrices of one fixed pattern (UMFPACK): one symbolic analysis, many factorisations. The one user of
// UMFPACK.
#pragma once

#include <complex>
#include <memory>
#include <span>
#include <vector>

namespace polepitch {

/// Compressed columns, rows ascending.
struct ColumnPattern {
  int size = 0;
  std::vector<int> start, row;
};

/// `Number`: double or std::complex<double>.
template <class Number>
class SparseLu {
 public:
  /// Keeps a reference to the pattern.
  explicit SparseLu(const ColumnPattern& pattern);
  ~SparseLu();

  /// `values` in the pattern's order. Throws ConvergenceError when the matrix is singular.
  void factorise(std::span<const Number> values);
  std::vector<Number> solve(std::span<const Number> right) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

using RealLu = SparseLu<double>;
using ComplexLu = SparseLu<std::complex<double>>;

}  // namespace polepitch
