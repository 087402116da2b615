// One side of a time-harmonic field alone: its stiffness with its own block of the annulus, the mass of its solid
// parts, and its answer to waves on its gap circle (docs/theory.md, "Time-harmonic fields").
#pragma once

#include <Eigen/Dense>
#include <complex>
#include <vector>

#include "solver/field_system.h"
#include "solver/sparse_lu.h"

namespace polepitch {

/// Waves on a gap circle: forward ones of all orders, then backward ones.
using Waves = Eigen::VectorXcd;

class SideSystem {
 public:
  /// `conductivity` [S/m] per region, 0 where nothing is induced. `self`: own coefficient of each order.
  SideSystem(const FieldSystem& system, Side side, const std::vector<double>& conductivity,
             const Eigen::VectorXd& self);

  int size() const { return pattern_.size; }
  /// K + jω M, factorised.
  void factorise(double omega);
  Eigen::VectorXcd solve(const Eigen::VectorXcd& right) const;
  Eigen::VectorXcd gather(const std::vector<std::complex<double>>& unknowns) const;
  void scatter(const Eigen::VectorXcd& own, std::vector<std::complex<double>>& unknowns) const;

  int order_count() const { return static_cast<int>(re_.rows()); }
  /// Amplitudes of the waves of a field on the gap circle.
  Waves waves(const Eigen::VectorXcd& own) const;
  /// Right side that a wave of unit amplitude from the other side makes, k of `waves`.
  Eigen::VectorXcd wave_source(int k) const;

  /// ½ σ ω² ∫|A|² of each region [W/m], one sector.
  void add_loss(const Eigen::VectorXcd& own, double omega, std::vector<double>& loss) const;

 private:
  struct Mass {  // of one solid region, lower triangle positions in the pattern
    int region;
    double conductivity;
    std::vector<int> row, column;
    std::vector<double> value;
  };
  void take_stiffness(const FieldSystem& system, const Eigen::VectorXd& self, const TraceFourier& trace);
  void take_mass(const FieldSystem& system, Side side, const std::vector<double>& conductivity);
  int position(int row, int column) const;
  std::vector<int> own_of_;      // of every unknown of the system; −1: the other side's
  std::vector<int> unknown_of_;  // of every own one
  ColumnPattern pattern_;
  std::vector<double> stiffness_;
  std::vector<Mass> masses_;
  std::vector<int> trace_;   // own unknowns on the gap circle
  Eigen::MatrixXd re_, im_;  // orders × trace_
  ComplexLu lu_;
};

}  // namespace polepitch
