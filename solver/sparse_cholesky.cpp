#include "solver/sparse_cholesky.h"

#include <cholmod.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <numeric>
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

namespace {

cholmod_sparse lower_view(const LowerPattern& pattern, void* values) {
  cholmod_sparse m{};
  m.nrow = m.ncol = static_cast<size_t>(pattern.size);
  m.nzmax = pattern.row.size();
  m.p = const_cast<int*>(pattern.column_start.data());  // CHOLMOD only reads them
  m.i = const_cast<int*>(pattern.row.data());
  m.x = values;
  m.stype = -1;
  m.itype = CHOLMOD_INT;
  m.xtype = values ? CHOLMOD_REAL : CHOLMOD_PATTERN;
  m.dtype = CHOLMOD_DOUBLE;
  m.sorted = m.packed = 1;
  return m;
}

cholmod_dense column_view(std::span<double> values, int columns = 1) {
  cholmod_dense d{};
  d.nzmax = values.size();
  d.ncol = static_cast<size_t>(columns);
  d.nrow = d.d = values.size() / d.ncol;
  d.x = values.data();
  d.xtype = CHOLMOD_REAL;
  d.dtype = CHOLMOD_DOUBLE;
  return d;
}

}  // namespace

struct SparseCholesky::Impl {
  cholmod_common common;
  LowerPattern permuted;  // of P K Pᵀ: CHOLMOD takes it as it stands, without a transposition a factorisation
  std::vector<int> order, source;  // unknown at each place; entry of the caller's values at each permuted one
  std::vector<int> group_start;    // groups + 1
  std::vector<double> values, extra;
  cholmod_factor* factor = nullptr;
  std::unique_ptr<FloatFactor> single;
  bool single_is_old = true;

  Impl(const LowerPattern& pattern, std::span<const std::vector<int>> last) {
    cholmod_start(&common);
    common.supernodal = CHOLMOD_SUPERNODAL;
    common.print = 0;
    common.nmethods = 1;
    // Wider supernodes than CHOLMOD's defaults: a third less time at 5k to 20k unknowns (docs/performance.md).
    common.nrelax[0] = 16, common.nrelax[1] = 48, common.nrelax[2] = 96;
    common.zrelax[0] = 0.8, common.zrelax[1] = 0.4, common.zrelax[2] = 0.1;
    find_order(pattern, last);
    permute(pattern);
    values.assign(permuted.row.size(), 1.0);
    cholmod_sparse matrix = lower_view(permuted, values.data());
    common.method[0].ordering = CHOLMOD_NATURAL;
    common.postorder = 0;
    factor = cholmod_analyze(&matrix, &common);
    if (!factor) fail();
    extra.resize(std::max<size_t>(factor->maxesize, 1));
  }
  ~Impl() {
    cholmod_free_factor(&factor, &common);
    cholmod_finish(&common);
  }
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;

  [[noreturn]] void fail() {
    cholmod_free_factor(&factor, &common);
    cholmod_finish(&common);
    throw std::runtime_error("the sparse analysis failed (out of memory?)");
  }
  void find_order(const LowerPattern& pattern, std::span<const std::vector<int>> last);
  void permute(const LowerPattern& pattern);
};

/// Minimum degree under the constraint of the groups, in postorder; the groups are then taken out of it to the end,
/// which keeps the order of elimination a valid one.
void SparseCholesky::Impl::find_order(const LowerPattern& pattern, std::span<const std::vector<int>> last) {
  std::vector<int> group(pattern.size, 0);
  for (size_t g = 0; g < last.size(); ++g)
    for (int unknown : last[g]) group[unknown] = static_cast<int>(g) + 1;
  cholmod_sparse matrix = lower_view(pattern, nullptr);
  order.resize(pattern.size);
  if (!cholmod_camd(&matrix, nullptr, 0, group.data(), order.data(), &common)) fail();
  common.method[0].ordering = CHOLMOD_GIVEN;
  common.postorder = 1;
  factor = cholmod_analyze_p(&matrix, order.data(), nullptr, 0, &common);
  if (!factor) fail();
  std::copy_n(static_cast<const int*>(factor->Perm), pattern.size, order.begin());
  cholmod_free_factor(&factor, &common);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) { return group[a] < group[b]; });
  int start = pattern.size;
  for (const std::vector<int>& g : last) start -= static_cast<int>(g.size());
  group_start.push_back(start);
  for (const std::vector<int>& g : last) group_start.push_back(start += static_cast<int>(g.size()));
}

void SparseCholesky::Impl::permute(const LowerPattern& pattern) {
  std::vector<int> place(pattern.size);
  for (int k = 0; k < pattern.size; ++k) place[order[k]] = k;
  std::vector<std::vector<std::pair<int, int>>> columns(pattern.size);  // row, entry
  for (int c = 0; c < pattern.size; ++c)
    for (int k = pattern.column_start[c]; k < pattern.column_start[c + 1]; ++k) {
      const auto [low, high] = std::minmax(place[pattern.row[k]], place[c]);
      columns[low].emplace_back(high, k);
    }
  permuted.size = pattern.size;
  permuted.column_start.push_back(0);
  for (auto& column : columns) {
    std::sort(column.begin(), column.end());
    for (const auto& [row, entry] : column) {
      permuted.row.push_back(row);
      source.push_back(entry);
    }
    permuted.column_start.push_back(static_cast<int>(permuted.row.size()));
  }
}

SparseCholesky::SparseCholesky(const LowerPattern& pattern, std::span<const std::vector<int>> last)
    : impl_(std::make_unique<Impl>(pattern, last)) {}
SparseCholesky::~SparseCholesky() = default;
SparseCholesky::SparseCholesky(SparseCholesky&&) noexcept = default;

bool SparseCholesky::factorise(std::span<const double> values) {
  // CHOLMOD opens four OpenMP threads for the small loops of every supernode, whatever the machine has: on this thread
  // they run serially (the level is a property of the calling thread).
  omp_set_max_active_levels(0);
  for (size_t k = 0; k < impl_->source.size(); ++k) impl_->values[k] = values[impl_->source[k]];
  cholmod_sparse matrix = lower_view(impl_->permuted, impl_->values.data());
  impl_->single_is_old = true;
  cholmod_factorize(&matrix, impl_->factor, &impl_->common);
  return impl_->common.status == CHOLMOD_OK;
}

void SparseCholesky::forward(std::span<const double> right, std::span<double> y, int columns) {
  const size_t rows = impl_->order.size(), room = std::max<size_t>(impl_->factor->maxesize, 1);
  for (size_t from = 0; from < y.size(); from += rows)
    for (size_t k = 0; k < rows; ++k) y[from + k] = right[from + static_cast<size_t>(impl_->order[k])];
  impl_->extra.resize(std::max(impl_->extra.size(), room * static_cast<size_t>(columns)));
  cholmod_dense unknown = column_view(y, columns),
                extra = column_view({impl_->extra.data(), room * static_cast<size_t>(columns)}, columns);
  if (!cholmod_super_lsolve(impl_->factor, &unknown, &extra, &impl_->common))
    throw std::runtime_error("the sparse solve failed");
}

void SparseCholesky::backward(std::span<double> y, std::span<double> solution) {
  cholmod_dense unknown = column_view(y),
                extra = column_view({impl_->extra.data(), std::max<size_t>(impl_->factor->maxesize, 1)});
  if (!cholmod_super_ltsolve(impl_->factor, &unknown, &extra, &impl_->common))
    throw std::runtime_error("the sparse solve failed");
  for (size_t k = 0; k < y.size(); ++k) solution[impl_->order[k]] = y[k];
}

void SparseCholesky::solve(std::span<const double> right, std::span<double> solution) {
  std::vector<double> y(right.size());
  forward(right, y);
  backward(y, solution);
}

FloatFactor& SparseCholesky::in_single_precision() {
  const cholmod_factor& f = *impl_->factor;
  const SupernodalView view{static_cast<int>(f.nsuper),    static_cast<const int*>(f.super),
                            static_cast<const int*>(f.pi), static_cast<const int*>(f.px),
                            static_cast<const int*>(f.s),  static_cast<const double*>(f.x)};
  if (!impl_->single) impl_->single = std::make_unique<FloatFactor>(view);
  if (impl_->single_is_old) impl_->single->take(view);
  impl_->single_is_old = false;
  return *impl_->single;
}

const std::vector<int>& SparseCholesky::order() const {
  return impl_->order;
}

int SparseCholesky::first_of(int group) const {
  return impl_->group_start[group];
}

std::vector<int> SparseCholesky::unknowns_of(int group) const {
  return {impl_->order.begin() + impl_->group_start[group], impl_->order.begin() + impl_->group_start[group + 1]};
}

template <class Real>
void SparseCholesky::copy_block(int group, std::vector<Real>& dense) const {
  const int begin = impl_->group_start[group], end = impl_->group_start[group + 1], size = end - begin;
  dense.assign(static_cast<size_t>(size) * size, Real{0});
  const cholmod_factor& f = *impl_->factor;
  const auto* super = static_cast<const int*>(f.super);
  const auto *row_start = static_cast<const int*>(f.pi), *value_start = static_cast<const int*>(f.px);
  const auto* rows = static_cast<const int*>(f.s);
  const auto* x = static_cast<const double*>(f.x);
  const auto count = static_cast<int>(f.nsuper);
  int s = static_cast<int>(std::upper_bound(super, super + count, begin) - super) - 1;
  for (; s < count && super[s] < end; ++s) {
    const int height = row_start[s + 1] - row_start[s];
    for (int column = std::max(super[s], begin); column < std::min(super[s + 1], end); ++column) {
      const double* from = x + value_start[s] + static_cast<size_t>(column - super[s]) * height;
      Real* to = dense.data() + static_cast<size_t>(column - begin) * size;
      for (int i = column - super[s]; i < height; ++i) {
        const int row = rows[row_start[s] + i];
        if (row < end) to[row - begin] = static_cast<Real>(from[i]);
      }
    }
  }
}

template void SparseCholesky::copy_block(int, std::vector<double>&) const;
template void SparseCholesky::copy_block(int, std::vector<float>&) const;

double SparseCholesky::factor_entries() const {
  return impl_->common.lnz;
}

double SparseCholesky::stored_entries() const {
  return static_cast<double>(impl_->factor->xsize);
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
