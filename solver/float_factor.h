// A Cholesky factor in single precision: half of the memory that a solve reads, which is what a solve waits for. Good
// for a preconditioner; the factor itself is computed in double precision.
#pragma once

#include <cstddef>
#include <vector>

namespace polepitch {

/// A supernodal factor as CHOLMOD keeps it: supernode s has the columns super[s] … super[s+1] − 1, the rows
/// rows[row_start[s]] … (its own columns first) and its values by columns from value_start[s] on.
struct SupernodalView {
  int supernodes;
  const int *super, *row_start, *value_start, *rows;
  const double* values;
};

class FloatFactor {
 public:
  explicit FloatFactor(const SupernodalView& view);  // the pattern; values come with `take`
  void take(const SupernodalView& view);
  void forward(float* y);   // y = L⁻¹ y
  void backward(float* y);  // y = L⁻ᵀ y

 private:
  // Columns go by panels of four: the panel's own 4 × 4 triangle, then the rows under it in blocks of eight rows by
  // four columns. Missing columns and rows are those of the identity and zeros.
  struct Panel {
    int column;    // first, in its supernode
    int width;     // 1 to 4
    int blocks;    // of eight rows
    size_t first;  // value of its triangle: 16 entries by columns, the reciprocal of the diagonal on it
  };
  struct Supernode {
    int first, width, height;
    int row_start;  // in rows_: of the rows under its own columns
    size_t panel_begin, panel_end;
  };
  std::vector<Supernode> supernodes_;
  std::vector<Panel> panels_;
  std::vector<int> rows_;
  std::vector<float> values_, local_;
};

}  // namespace polepitch
