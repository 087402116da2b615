#include "solver/block_matrix.h"

#include <algorithm>
#include <stdexcept>

namespace polepitch {

using Complex = std::complex<double>;

BlockMatrix::BlockMatrix(int size, std::vector<std::pair<int, int>> entries) : size_(size), lu_(real_) {
  for (auto& [row, column] : entries) std::swap(row, column);  // by columns, then rows
  std::sort(entries.begin(), entries.end());
  entries.erase(std::unique(entries.begin(), entries.end()), entries.end());
  start_.assign(static_cast<size_t>(size) + 1, 0);
  for (const auto& [column, row] : entries) {
    ++start_[column + 1];
    row_.push_back(row);
  }
  for (int c = 0; c < size; ++c) start_[c + 1] += start_[c];
  blocks_.resize(row_.size());
  real_.size = 2 * size;
  real_.start = {0};
  for (int c = 0; c < size; ++c)
    for (int part = 0; part < 2; ++part) {
      for (int k = start_[c]; k < start_[c + 1]; ++k) {
        real_.row.push_back(2 * row_[k]);
        real_.row.push_back(2 * row_[k] + 1);
      }
      real_.start.push_back(static_cast<int>(real_.row.size()));
    }
  values_.resize(real_.row.size());
}

int BlockMatrix::position(int row, int column) const {
  const auto begin = row_.begin() + start_[column], end = row_.begin() + start_[column + 1];
  const auto it = std::lower_bound(begin, end, row);
  if (it == end || *it != row) throw std::logic_error("an entry outside of the pattern");
  return static_cast<int>(it - row_.begin());
}

void BlockMatrix::clear() {
  std::fill(blocks_.begin(), blocks_.end(), Block{});
}

void BlockMatrix::add(int row, int column, Complex value) {
  Block& b = blocks_[position(row, column)];
  b[0] += value.real();
  b[1] -= value.imag();
  b[2] += value.imag();
  b[3] += value.real();
}

std::vector<Complex> BlockMatrix::multiply(const std::vector<Block>& blocks, const std::vector<Complex>& x) const {
  std::vector<Complex> y(static_cast<size_t>(size_));
  for (int c = 0; c < size_; ++c) {
    const double re = x[c].real(), im = x[c].imag();
    for (int k = start_[c]; k < start_[c + 1]; ++k) {
      const Block& b = blocks[k];
      y[row_[k]] += Complex{b[0] * re + b[1] * im, b[2] * re + b[3] * im};
    }
  }
  return y;
}

void BlockMatrix::factorise() {
  size_t at = 0;
  for (int c = 0; c < size_; ++c)
    for (int part = 0; part < 2; ++part)
      for (int k = start_[c]; k < start_[c + 1]; ++k) {
        values_[at++] = blocks_[k][part];
        values_[at++] = blocks_[k][2 + part];
      }
  lu_.factorise(values_);
}

std::vector<Complex> BlockMatrix::solve(const std::vector<Complex>& right) const {
  const std::vector<double> x = lu_.solve({reinterpret_cast<const double*>(right.data()), 2 * right.size()});
  std::vector<Complex> solution(right.size());
  for (size_t i = 0; i < right.size(); ++i) solution[i] = {x[2 * i], x[2 * i + 1]};
  return solution;
}

}  // namespace polepitch
