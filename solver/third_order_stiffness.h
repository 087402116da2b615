// Stiffness of third-order elements, four side by side, the bubble inside every element eliminated: what is left are
// the system's unknowns and the edges' bubbles. Vectors z as in solver/third_order.h; x are their parts before the
// inside bubbles, which come last.
#pragma once

#include <vector>

#include "solver/third_order_loops.h"

namespace polepitch {

class ThirdOrderStiffness {
 public:
  explicit ThirdOrderStiffness(const ThirdOrderTables& tables);

  /// The matrix about z (tangent, or reluctivity frozen), and force += the internal one there.
  void linearise(const std::vector<double>& z, bool frozen, std::vector<double>& force);
  /// y += K x, the inside eliminated.
  void add_product(const std::vector<double>& x, std::vector<double>& y) const;
  /// The inside's part of a right-hand side carried over to the rest; returns what it alone does to its energy norm
  /// squared.
  double eliminate(std::vector<double>& right) const;
  /// z += the step x of the rest, and the inside's own, `right` being the right-hand side before `eliminate`.
  void add_step(const std::vector<double>& right, const std::vector<double>& x, std::vector<double>& z) const;
  /// Diagonal entries of the edges' bubbles, added: elements of constant reluctivity, or iron.
  void add_diagonal(bool iron, std::vector<double>& diagonal) const;
  /// ∫ H dB over all elements.
  double energy(const std::vector<double>& z) const;

 private:
  static constexpr int kKept = ThirdOrderCondensed::kKept;
  static void take_element(const ThirdOrderTables& tables, int triangle, int lane, ThirdOrderPack& pack);

  const std::vector<BhCurve>& curves_;
  ThirdOrderSlopes slopes_;
  std::vector<ThirdOrderPack> packs_;
  std::vector<ThirdOrderCondensed> condensed_;  // of every pack
  size_t linear_ = 0;                           // packs before it have constant reluctivity
};

}  // namespace polepitch
