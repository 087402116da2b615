// A factor near the tangent of a slipping machine's equations (solver/cage_system.h): the symmetric part of the fields'
// rows by supernodal Cholesky, every circuit exactly. What it leaves out is −jω_r σ (A − mean A) in bars, which
// Krylov's method finds; so it is of no use to solid parts. The slip is in the circuits alone: another one costs no new
// factor.
#pragma once

#include <Eigen/Dense>
#include <complex>
#include <memory>
#include <vector>

#include "solver/cage_system.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {

class CageFactor {
 public:
  using Complex = std::complex<double>;
  /// Keeps a reference to the system.
  explicit CageFactor(const CageSystem& system);

  /// Of the system's matrix as it stands. set_circuits() must follow. False when the fields are not positive definite.
  bool factorise();
  /// Circuits and gap waves of the system's `linear` blocks with the same factor. False when they are singular.
  bool set_circuits();
  std::vector<Complex> solve(const std::vector<Complex>& right) const;

 private:
  using RealMatrix = Eigen::MatrixXd;  // of real and imaginary parts in turn
  struct Base {                        // a shape on the fields by which a circuit meets them
    std::vector<std::pair<int, Complex>> entries;
    int pivot = 0;             // unknown of its largest entry
    std::vector<int> columns;  // circuit unknowns that act on the fields with it
    std::vector<int> rows;     // and those whose equations see it
  };
  struct Entry {  // of the symmetric part: the mean of two numbers in the system's blocks
    int first, first_part, second, second_part;
  };

  void find_bases();
  void find_pattern();
  Complex block(int row, int column) const;
  int circuits() const { return system_.size - system_.fields; }
  int voltages() const { return system_.current0 - system_.voltage0; }

  const CageSystem& system_;
  std::vector<Base> bases_;
  LowerPattern pattern_;  // of the fields' parts
  std::vector<Entry> entries_;
  std::unique_ptr<SparseCholesky> cholesky_;
  RealMatrix forward_;                 // L⁻¹ P of both parts of every base
  RealMatrix gram_;                    // its own products
  Eigen::MatrixXcd seen_by_voltages_;  // their equations' shares of the bases, over their own diagonal
  Eigen::MatrixXcd voltages_by_rest_;  // and of the other circuit unknowns
  Eigen::VectorXcd voltage_diagonal_;
  Eigen::MatrixXcd rest_by_voltages_;
  RealMatrix acting_, seen_;          // circuit unknowns on the bases; bases in the circuits' equations
  Eigen::MatrixXcd acting_voltages_;  // voltages on the bases
  Eigen::PartialPivLU<RealMatrix> corner_;
};

}  // namespace polepitch
