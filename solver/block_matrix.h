// A sparse complex system whose nonlinear entries act on real and imaginary parts apart: blocks of 2 × 2 real numbers,
// factorised as one real matrix.
#pragma once

#include <array>
#include <complex>
#include <vector>

#include "solver/sparse_lu.h"

namespace polepitch {

class BlockMatrix {
 public:
  using Block = std::array<double, 4>;  // by rows: (Re, Re), (Re, Im), (Im, Re), (Im, Im)

  /// Entries (row, column) that may be other than 0, in any order and with repetitions.
  BlockMatrix(const BlockMatrix&) = delete;  // its factor refers to its pattern
  BlockMatrix(int size, std::vector<std::pair<int, int>> entries);

  int size() const { return size_; }
  /// Place of an entry in `blocks`. It must be one of the pattern's.
  int position(int row, int column) const;
  size_t entries() const { return row_.size(); }
  std::vector<Block>& blocks() { return blocks_; }
  const std::vector<Block>& blocks() const { return blocks_; }
  /// Calls `use(row, place in blocks)` down a column.
  template <class Use>
  void each_in_column(int column, Use use) const {
    for (int k = start_[static_cast<size_t>(column)]; k < start_[static_cast<size_t>(column) + 1]; ++k)
      use(row_[static_cast<size_t>(k)], k);
  }
  void clear();
  void add(int row, int column, std::complex<double> value);
  /// A x, with the matrix's own blocks or others of its pattern.
  std::vector<std::complex<double>> multiply(const std::vector<std::complex<double>>& x) const {
    return multiply(blocks_, x);
  }
  std::vector<std::complex<double>> multiply(const std::vector<Block>& blocks,
                                             const std::vector<std::complex<double>>& x) const;

  /// Throws ConvergenceError when the matrix is singular. The factor stays when the blocks change.
  void factorise();
  std::vector<std::complex<double>> solve(const std::vector<std::complex<double>>& right) const;

 private:
  int size_;
  std::vector<int> start_, row_;  // of blocks, by columns
  std::vector<Block> blocks_;
  ColumnPattern real_;
  std::vector<double> values_;
  RealLu lu_;
};

}  // namespace polepitch
