// A sparse complex system whose nonlinear entries act on real and imaginary parts apart: blocks of 2 × 2 real numbers,
// factorised as one real matrix (UMFPACK).
#pragma once

#include <array>
#include <complex>
#include <memory>
#include <vector>

namespace polepitch {

class BlockMatrix {
 public:
  using Block = std::array<double, 4>;  // by rows: (Re, Re), (Re, Im), (Im, Re), (Im, Im)

  /// Entries (row, column) that may be other than 0, in any order and with repetitions.
  BlockMatrix(int size, std::vector<std::pair<int, int>> entries);
  ~BlockMatrix();

  int size() const { return size_; }
  /// Place of an entry in `blocks`. It must be one of the pattern's.
  int position(int row, int column) const;
  std::vector<Block>& blocks() { return blocks_; }
  void clear();
  void add(int row, int column, std::complex<double> value);
  /// y = A x.
  void multiply(const std::vector<std::complex<double>>& x, std::vector<std::complex<double>>& y) const;

  /// Throws ConvergenceError when the matrix is singular.
  void factorise();
  std::vector<std::complex<double>> solve(const std::vector<std::complex<double>>& right) const;

 private:
  struct Factor;
  int size_;
  std::vector<int> start_, row_;  // of blocks, by columns
  std::vector<Block> blocks_;
  std::unique_ptr<Factor> factor_;
};

}  // namespace polepitch
