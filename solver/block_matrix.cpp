#include "solver/block_matrix.h"

#include <umfpack.h>

#include <algorithm>
#include <stdexcept>
#include <string>

#include "geometry/error.h"

namespace polepitch {

using Complex = std::complex<double>;

struct BlockMatrix::Factor {
  std::vector<int> start, row;
  std::vector<double> values;
  double control[UMFPACK_CONTROL];
  void *symbolic = nullptr, *numeric = nullptr;
  ~Factor() {
    umfpack_di_free_numeric(&numeric);
    umfpack_di_free_symbolic(&symbolic);
  }
  static void check(int status) {
    if (status == UMFPACK_OK) return;
    if (status == UMFPACK_WARNING_singular_matrix)
      throw ConvergenceError("the equations of the time-harmonic field are singular",
                             "look at rings without resistance and at frequencies of 0");
    if (status == UMFPACK_ERROR_out_of_memory) throw std::bad_alloc();
    throw std::logic_error("UMFPACK refused a matrix: status " + std::to_string(status));
  }
};

BlockMatrix::BlockMatrix(int size, std::vector<std::pair<int, int>> entries)
    : size_(size), factor_(std::make_unique<Factor>()) {
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
  Factor& f = *factor_;
  umfpack_di_defaults(f.control);
  f.start = {0};
  for (int c = 0; c < size; ++c)
    for (int part = 0; part < 2; ++part) {
      for (int k = start_[c]; k < start_[c + 1]; ++k) {
        f.row.push_back(2 * row_[k]);
        f.row.push_back(2 * row_[k] + 1);
      }
      f.start.push_back(static_cast<int>(f.row.size()));
    }
  f.values.resize(f.row.size());
}

BlockMatrix::~BlockMatrix() = default;

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

void BlockMatrix::multiply(const std::vector<Complex>& x, std::vector<Complex>& y) const {
  y.assign(static_cast<size_t>(size_), 0);
  for (int c = 0; c < size_; ++c)
    for (int k = start_[c]; k < start_[c + 1]; ++k) {
      const Block& b = blocks_[k];
      y[row_[k]] += Complex{b[0] * x[c].real() + b[1] * x[c].imag(), b[2] * x[c].real() + b[3] * x[c].imag()};
    }
}

void BlockMatrix::factorise() {
  Factor& f = *factor_;
  size_t at = 0;
  for (int c = 0; c < size_; ++c)
    for (int part = 0; part < 2; ++part)
      for (int k = start_[c]; k < start_[c + 1]; ++k) {
        f.values[at++] = blocks_[k][part];
        f.values[at++] = blocks_[k][2 + part];
      }
  const int n = 2 * size_;
  if (f.symbolic == nullptr)
    Factor::check(
        umfpack_di_symbolic(n, n, f.start.data(), f.row.data(), f.values.data(), &f.symbolic, f.control, nullptr));
  umfpack_di_free_numeric(&f.numeric);
  Factor::check(
      umfpack_di_numeric(f.start.data(), f.row.data(), f.values.data(), f.symbolic, &f.numeric, f.control, nullptr));
}

std::vector<Complex> BlockMatrix::solve(const std::vector<Complex>& right) const {
  const Factor& f = *factor_;
  std::vector<Complex> solution(right.size());
  Factor::check(umfpack_di_solve(UMFPACK_A, f.start.data(), f.row.data(), f.values.data(),
                                 reinterpret_cast<double*>(solution.data()),
                                 reinterpret_cast<const double*>(right.data()), f.numeric, f.control, nullptr));
  return solution;
}

}  // namespace polepitch
