// The equations of a field that changes with time (docs/theory.md, "Time stepping"), of one implicit stage
// ẋ = (x − x̂)/τ:
//   F(A) + M (A − Â)/τ − Σ w_l j_l − Σ c_k u_k = sources        field; w_l the loops' turns, c_k = ∫σφ over bar k
//   wᵀ(A − Â) + [(τ R + L) j − L ĵ − τ v]/(S l) = 0              loops of branches; S sectors of length l
//   cᵀ(A − Â) − τ σ S_k u_k + τ (r_k − r_{k−1}) = 0              bars; r the currents of the ring pieces after each bar
//   τ (u_{k+1} − u_k) − 2 [(τ R_s + L_s) r_k − L_s r̂_k]/l = 0     rings
// Symmetric with a border of j, u and r.
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "solver/bar_integrals.h"
#include "solver/bordered_cholesky.h"
#include "solver/transient_field.h"

namespace polepitch {

struct TransientSystem {
  TransientSystem(const Section& section, const Mesh& mesh, const Materials& materials, const BarRing& ring,
                  const TransientOptions& options);

  FieldSystem system;
  TransientOptions options;
  Eigen::MatrixXd joints;            // bars × ring pieces: currents of the bars by those of the pieces
  BarRing ring;                      // one piece a bar
  std::vector<BarIntegrals> bars;    // in the order of the branches
  std::vector<SparseVector> shape;   // σ ∫φ of each
  std::vector<double> conductivity;  // S/m per region, 0 where nothing is induced
  std::vector<double> mass;          // ∫σφφ, of system.pattern
  double whole = 0;                  // S l [m]

  // Of the circuits at hand.
  const Circuits* circuits = nullptr;
  std::vector<SparseVector> turns;  // of each loop
  int loops = 0, bar0 = 0, ring0 = 0, size = 0;

  void connect(const Circuits& circuits);
  std::vector<SparseVector> border() const;
  Eigen::MatrixXd corner(double tau) const;
  /// Right side of the border's rows, Bᵀ x̂ included.
  Eigen::VectorXd corner_source(double tau, double time, const TransientLevel& base) const;
  /// Magnets and fed branches.
  std::vector<double> source(double time) const;
  /// y += B c
  void add_border(const Eigen::VectorXd& c, std::vector<double>& y) const;
  Eigen::VectorXd border_dot(const std::vector<double>& x) const;
  Eigen::VectorXd branch_currents(double time, const Eigen::VectorXd& c) const;
  /// At a stage: `rate` is the stage's own, `force` F(A) with the annulus.
  TransientPowers powers(double time, const TransientLevel& at, const TransientLevel& rate,
                         const std::vector<double>& force) const;
  /// Loss of eddy currents in each region [W], whole machine.
  std::vector<double> eddy_losses(const TransientLevel& at, const TransientLevel& rate) const;
  /// Stored in field and circuits [J].
  double stored(const GapTurn& turn, const TransientLevel& at) const;
  /// R or L of the loops that ring pieces close with the bars: two pieces, and the bars' overhang.
  Eigen::MatrixXd ring_impedance(double RingSegment::*part) const;
  void join_bars();
  double mass_product(const std::vector<double>& x) const;  // xᵀ M x
  /// Aᵀ M A of the A that gives the first loop the options' linkage scale, the same everywhere; 0 without a scale.
  double mass_reference() const;
};

}  // namespace polepitch
