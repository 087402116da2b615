// The annulus between the gap circles as a symmetric map over both circles' traces (docs/theory.md, "Rotation"). The
// angle is a phase of each harmonic: any angle, one mesh, one pattern. Also the unbounded outside of a circle.
#pragma once

#include <Eigen/Dense>
#include <complex>
#include <functional>
#include <vector>

#include "solver/dense_blas.h"
#include "solver/dofs.h"
#include "solver/gap_field.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {

/// Fourier coefficients of the trace on one circle: u_n = Σ_k (re + j im)(n, k) x[unknowns[k]], for the admitted
/// orders.
struct TraceFourier {
  std::vector<int> unknowns;  // ascending, without the fixed ones
  Eigen::MatrixXd re, im;     // orders × unknowns
};

/// values += a dense symmetric block over `unknowns` (ascending).
void add_block(const LowerPattern& pattern, const std::vector<int>& unknowns, const Eigen::MatrixXd& block,
               std::vector<double>& values);

/// Orders that a sector admits up to `largest`: N k (periodic, 0 included) or N/2 (2k + 1) (antiperiodic).
std::vector<int> admitted_orders(int sectors, int sign, int largest);

/// Weights of a value at one point of a circle in every order's coefficient: cosine − j sine.
struct Phases {
  Eigen::VectorXd cosine, sine;
};
/// Calls `visit` at the quadrature points of every edge of the circle; t in [−1, 1] along the edge.
void integrate_phases(const Mesh& mesh, const TraceCircle& circle, const std::vector<int>& orders,
                      const std::function<void(size_t edge, double t, const Phases& phase)>& visit);

TraceFourier trace_fourier(const Mesh& mesh, const Dofs& dofs, const TraceCircle& circle,
                           const std::vector<int>& orders);

/// Phase of each order at one rotor angle, times the order's mutual coefficient.
struct GapTurn {
  Eigen::VectorXd cosine, sine;
};

class Annulus {
 public:
  Annulus(const Mesh& mesh, const Dofs& dofs, std::vector<int> orders);

  const TraceFourier& stator() const { return stator_; }
  const TraceFourier& rotor() const { return rotor_; }
  const std::vector<int>& orders() const { return orders_; }
  /// Per order: ∂H/∂A of a circle with the other one at A = 0, and of the other circle's A (π r included, one sector).
  const Eigen::VectorXd& self() const { return self_; }
  const Eigen::VectorXd& mutual() const { return mutual_; }
  /// Second derivatives of one sector's energy per metre [1/(Wb/m)² J/m]; the angle is only in the cross block.
  const Eigen::MatrixXd& stator_block() const { return stator_block_; }
  const Eigen::MatrixXd& rotor_block() const { return rotor_block_; }
  GapTurn turn(double rotor_angle) const;
  /// y += (second derivatives of the energy) x, through the orders.
  void add_force(const GapTurn& turn, const std::vector<double>& x, std::vector<double>& y) const;
  /// Its rate with the rotor angle, at the same x.
  void add_force_rate(double rotor_angle, const std::vector<double>& x, std::vector<double>& y) const;
  /// N and Nᵀ of the energy's cross term −u_sᵀ N u_r, u = (re, im) stacked.
  template <class Real>  // double or float, here and below
  void to_stator(const GapTurn& turn, const dense::Vector<Real>& rotor, dense::Vector<Real>& stator) const;
  template <class Real>
  void to_rotor(const GapTurn& turn, const dense::Vector<Real>& stator, dense::Vector<Real>& rotor) const;
  /// stator ← stator N, rotor ← rotor Nᵀ (columns are orders).
  template <class Real>
  void exchange_columns(const GapTurn& turn, dense::Matrix<Real>& stator, dense::Matrix<Real>& rotor) const;
  GapField field(const std::vector<double>& x, double rotor_angle) const;

 private:
  void add(const GapTurn& turn, bool own, const std::vector<double>& x, std::vector<double>& y) const;
  int sectors_ = 1;
  double rotor_radius_ = 0, stator_radius_ = 0;
  std::vector<int> orders_;
  TraceFourier stator_, rotor_;
  Eigen::VectorXd self_, mutual_;  // per order
  Eigen::MatrixXd stator_block_, rotor_block_;
  Eigen::MatrixXd stator_map_, rotor_map_;  // re over im
  mutable Eigen::VectorXd local_, shown_[2], sent_;
};

/// Own coefficient of every order on the gap circle of radius `circle` [m] with a smooth permeable surface at the
/// radius `other` in place of the other side: (πn/μ0)(1 − q)/(1 + q), q = (other/circle)^{±2n}. Order 0 stays as it is.
Eigen::VectorXd smooth_self(const Annulus& annulus, int sectors, double circle, double other);

/// Weight of each order in the energy of the unbounded space outside a circle (r^−n), one sector.
Eigen::VectorXd outside_weight(const std::vector<int>& orders, int sectors);
/// Energy block of that space; the mean of A on it is held at 0 where n = 0 is
/// admitted.
Eigen::MatrixXd outside_block(const TraceFourier& trace, const std::vector<int>& orders, int sectors);

}  // namespace polepitch
