// Sparse LU of complex matrices of one fixed pattern (UMFPACK): one symbolic analysis, many factorisations. The one
// user of UMFPACK.
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

class ComplexLu {
 public:
  /// Keeps a reference to the pattern.
  explicit ComplexLu(const ColumnPattern& pattern);
  ~ComplexLu();
  ComplexLu(ComplexLu&&) noexcept;

  /// `values` in the pattern's order. Throws ConvergenceError when the matrix is singular.
  void factorise(std::span<const std::complex<double>> values);
  std::vector<std::complex<double>> solve(std::span<const std::complex<double>> right) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
