#include "solver/sparse_cholesky.h"

#include <cholmod.h>
#include <omp.h>

#include <algorithm>
#include <cstring>
#include <stdexcept>

extern "C" void openblas_set_num_threads(int);

namespace polepitch {

int LowerPattern::position(int r, int c) const {
  const auto first = row.begin() + column_start[c], last = row.begin() + column_start[c + 1];
  const auto it = std::lower_bound(first, last, r);
  return it != last && *it == r ? static_cast<int>(it - row.begin()) : -1;
}

LowerPattern build_pattern(int size, std::span<const std::vector<int>> groups) {
  std::vector<std::vector<int>> columns(size);
  for (int i = 0; i < size; ++i) columns[i].push_back(i);
  for (const std::vector<int>& group : groups)
    for (int r : group)
      for (int c : group)
        if (c >= 0 && r > c) columns[c].push_back(r);
  LowerPattern pattern;
  pattern.size = size;
  pattern.column_start.push_back(0);
  for (std::vector<int>& column : columns) {
    std::sort(column.begin(), column.end());
    column.erase(std::unique(column.begin(), column.end()), column.end());
    pattern.row.insert(pattern.row.end(), column.begin(), column.end());
    pattern.column_start.push_back(static_cast<int>(pattern.row.size()));
  }
  return pattern;
}

struct SparseCholesky::Impl {
  cholmod_common common;
  cholmod_sparse matrix{};
  std::vector<int> column_start, row;
  std::vector<double> values;
  cholmod_factor* factor = nullptr;
  cholmod_dense* x = nullptr;
  cholmod_dense* y = nullptr;
  cholmod_dense* e = nullptr;

  explicit Impl(const LowerPattern& p) : column_start(p.column_start), row(p.row), values(p.row.size(), 0.0) {
    cholmod_start(&common);
    common.supernodal = CHOLMOD_SUPERNODAL;
    common.print = 0;
    common.nmethods = 1;
    common.method[0].ordering = CHOLMOD_AMD;
    common.postorder = 1;
    // Wider supernodes than CHOLMOD's defaults: a third less time at 5k to 20k unknowns (docs/performance.md).
    common.nrelax[0] = 16, common.nrelax[1] = 48, common.nrelax[2] = 96;
    common.zrelax[0] = 0.8, common.zrelax[1] = 0.4, common.zrelax[2] = 0.1;
    matrix.nrow = matrix.ncol = static_cast<size_t>(p.size);
    matrix.nzmax = row.size();
    matrix.p = column_start.data();
    matrix.i = row.data();
    matrix.x = values.data();
    matrix.stype = -1;
    matrix.itype = CHOLMOD_INT;
    matrix.xtype = CHOLMOD_REAL;
    matrix.dtype = CHOLMOD_DOUBLE;
    matrix.sorted = matrix.packed = 1;
    factor = cholmod_analyze(&matrix, &common);
    if (!factor) throw std::runtime_error("the sparse analysis failed (out of memory?)");
  }
  ~Impl() {
    cholmod_free_factor(&factor, &common);
    cholmod_free_dense(&x, &common);
    cholmod_free_dense(&y, &common);
    cholmod_free_dense(&e, &common);
    cholmod_finish(&common);
  }
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
};

SparseCholesky::SparseCholesky(const LowerPattern& pattern) : impl_(std::make_unique<Impl>(pattern)) {}
SparseCholesky::~SparseCholesky() = default;
SparseCholesky::SparseCholesky(SparseCholesky&&) noexcept = default;

bool SparseCholesky::factorise(std::span<const double> values) {
  // CHOLMOD opens four OpenMP threads for the small loops of every supernode, whatever the machine has: on this thread
  // they run serially (the level is a property of the calling thread).
  omp_set_max_active_levels(0);
  std::copy(values.begin(), values.end(), impl_->values.begin());
  cholmod_factorize(&impl_->matrix, impl_->factor, &impl_->common);
  return impl_->common.status == CHOLMOD_OK;
}

void SparseCholesky::solve(std::span<const double> right, std::span<double> solution) {
  cholmod_dense b{};
  b.nrow = b.d = b.nzmax = impl_->matrix.nrow;
  b.ncol = 1;
  b.x = const_cast<double*>(right.data());  // CHOLMOD only reads it
  b.xtype = CHOLMOD_REAL;
  b.dtype = CHOLMOD_DOUBLE;
  if (!cholmod_solve2(CHOLMOD_A, impl_->factor, &b, nullptr, &impl_->x, nullptr, &impl_->y, &impl_->e, &impl_->common))
    throw std::runtime_error("the sparse solve failed");
  std::memcpy(solution.data(), impl_->x->x, solution.size_bytes());
}

double SparseCholesky::factor_entries() const {
  return impl_->common.lnz;
}

void multiply_symmetric(const LowerPattern& pattern, std::span<const double> values, std::span<const double> x,
                        std::span<double> y) {
  for (int c = 0; c < pattern.size; ++c) {
    int k = pattern.column_start[c];
    double sum = values[k] * x[c];  // the diagonal comes first
    for (++k; k < pattern.column_start[c + 1]; ++k) {
      sum += values[k] * x[pattern.row[k]];
      y[pattern.row[k]] += values[k] * x[c];
    }
    y[c] += sum;
  }
}

void pin_blas_to_one_thread() {
  openblas_set_num_threads(1);
}

}  // namespace polepitch
