#include "solver/float_factor.h"

#include <algorithm>

#include "solver/lanes.h"

namespace polepitch {
namespace {

constexpr int kColumns = 4, kRows = 8, kTriangle = kColumns * kColumns, kBlock = kColumns * kRows;
using Floats = float __attribute__((vector_size(4 * kRows), aligned(4), may_alias));

POLEPITCH_INLINE Floats& rows_at(float* p) {
  return *reinterpret_cast<Floats*>(p);
}
POLEPITCH_INLINE const Floats& rows_at(const float* p) {
  return *reinterpret_cast<const Floats*>(p);
}

}  // namespace

namespace float_factor {

/// t = L⁻¹ t of one panel: its own four entries, and what they send to the rows below.
POLEPITCH_CLONES void panel_forward(const float* triangle, int blocks, float* own, float* below) {
  for (int c = 0; c < kColumns; ++c) {
    own[c] *= triangle[c * kColumns + c];
    for (int r = c + 1; r < kColumns; ++r) own[r] -= triangle[c * kColumns + r] * own[c];
  }
  const float* block = triangle + kTriangle;
  for (int b = 0; b < blocks; ++b, block += kBlock, below += kRows)
    rows_at(below) -= rows_at(block) * own[0] + rows_at(block + kRows) * own[1] + rows_at(block + 2 * kRows) * own[2] +
                      rows_at(block + 3 * kRows) * own[3];
}

POLEPITCH_CLONES void panel_backward(const float* triangle, int blocks, float* own, const float* below) {
  const float* block = triangle + kTriangle;
  Floats sum[kColumns] = {};
  for (int b = 0; b < blocks; ++b, block += kBlock, below += kRows)
    for (int c = 0; c < kColumns; ++c) sum[c] += rows_at(block + c * kRows) * rows_at(below);
  for (int c = kColumns - 1; c >= 0; --c) {
    for (int r = 0; r < kRows; ++r) own[c] -= sum[c][r];
    for (int r = c + 1; r < kColumns; ++r) own[c] -= triangle[c * kColumns + r] * own[r];
    own[c] *= triangle[c * kColumns + c];
  }
}

}  // namespace float_factor

FloatFactor::FloatFactor(const SupernodalView& view) {
  size_t room = 0;
  int highest = 0;
  for (int s = 0; s < view.supernodes; ++s) {
    Supernode& node = supernodes_.emplace_back();
    node.first = view.super[s];
    node.width = view.super[s + 1] - node.first;
    node.height = view.row_start[s + 1] - view.row_start[s];
    node.row_start = static_cast<int>(rows_.size());
    rows_.insert(rows_.end(), view.rows + view.row_start[s] + node.width, view.rows + view.row_start[s + 1]);
    node.panel_begin = panels_.size();
    for (int column = 0; column < node.width; column += kColumns) {
      const int width = std::min(kColumns, node.width - column), rest = node.height - column - width;
      const int blocks = (rest + kRows - 1) / kRows;
      panels_.push_back({column, width, blocks, room});
      room += kTriangle + static_cast<size_t>(blocks) * kBlock;
    }
    node.panel_end = panels_.size();
    highest = std::max(highest, node.height);
  }
  values_.resize(room, 0.0F);
  local_.resize(static_cast<size_t>(highest + kRows + kColumns));
}

void FloatFactor::take(const SupernodalView& view) {
  for (size_t s = 0; s < supernodes_.size(); ++s) {
    const Supernode& node = supernodes_[s];
    const double* all = view.values + view.value_start[s];
    for (size_t p = node.panel_begin; p < node.panel_end; ++p) {
      const Panel& panel = panels_[p];
      float* triangle = values_.data() + panel.first;
      for (int c = 0; c < kColumns; ++c) triangle[c * kColumns + c] = 1;
      for (int c = 0; c < panel.width; ++c) {
        const double* column = all + static_cast<size_t>(panel.column + c) * node.height + panel.column;
        triangle[c * kColumns + c] = static_cast<float>(1 / column[c]);
        for (int r = c + 1; r < panel.width; ++r) triangle[c * kColumns + r] = static_cast<float>(column[r]);
        float* to = triangle + kTriangle + c * kRows;
        const double* from = column + panel.width;
        const int rest = node.height - panel.column - panel.width;
        for (int r = 0; r < rest; r += kRows, to += kBlock)
          for (int k = 0; k < std::min(kRows, rest - r); ++k) to[k] = static_cast<float>(from[r + k]);
      }
    }
  }
}

void FloatFactor::forward(float* y) {
  for (const Supernode& node : supernodes_) {
    float* local = local_.data();
    std::copy_n(y + node.first, node.width, local);
    std::fill(local + node.width, local + node.height + kRows + kColumns, 0.0F);
    for (size_t p = node.panel_begin; p < node.panel_end; ++p) {
      const Panel& panel = panels_[p];
      float own[kColumns] = {};
      std::copy_n(local + panel.column, panel.width, own);
      float_factor::panel_forward(values_.data() + panel.first, panel.blocks, own, local + panel.column + panel.width);
      std::copy_n(own, panel.width, local + panel.column);
    }
    std::copy_n(local, node.width, y + node.first);
    const int* rows = rows_.data() + node.row_start;
    for (int r = 0; r < node.height - node.width; ++r) y[rows[r]] += local[node.width + r];
  }
}

void FloatFactor::backward(float* y) {
  for (auto node = supernodes_.rbegin(); node != supernodes_.rend(); ++node) {
    float* local = local_.data();
    std::copy_n(y + node->first, node->width, local);
    const int* rows = rows_.data() + node->row_start;
    for (int r = 0; r < node->height - node->width; ++r) local[node->width + r] = y[rows[r]];
    std::fill(local + node->height, local + node->height + kRows + kColumns, 0.0F);
    for (size_t p = node->panel_end; p-- > node->panel_begin;) {
      const Panel& panel = panels_[p];
      float own[kColumns] = {};
      std::copy_n(local + panel.column, panel.width, own);
      float_factor::panel_backward(values_.data() + panel.first, panel.blocks, own, local + panel.column + panel.width);
      std::copy_n(own, panel.width, local + panel.column);
    }
    std::copy_n(local, node->width, y + node->first);
  }
}

}  // namespace polepitch
