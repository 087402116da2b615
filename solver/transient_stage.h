// One implicit stage of a transient field: Newton's method with a bordered factor that is kept from stage to stage.
#pragma once

#include <vector>

#include "solver/transient_system.h"

namespace polepitch {

class TransientStage {
 public:
  explicit TransientStage(TransientSystem& system);

  /// Solves the stage at `time` and `turn` with ẋ = (x − base)/τ, from `x` (in and out). `x` then has the residual's
  /// rest options.field.tolerance. Throws ConvergenceError.
  void solve(double time, double tau, const GapTurn& turn, const TransientLevel& base, TransientLevel& x);
  /// F(A) with the annulus at the last stage's x.
  const std::vector<double>& force() const { return force_; }

  void drop_factor() { factorised_ = false; }
  void new_border();

  int newton_steps = 0, factorisations = 0, iterations = 0;  // so far
  const LinearTimes& times() const { return cholesky_.times(); }

 private:
  void prepare(double time, double tau, const TransientLevel& base);
  void linearise(const TransientLevel& x);
  void find_step(double goal, bool first, TransientLevel& step);
  bool conjugate_gradients(double goal, TransientLevel& step);
  void factorise();
  void move(TransientLevel& x, const TransientLevel& step, double t);
  double slope_along(const TransientLevel& x, const TransientLevel& step, double t);
  void take_step(TransientLevel& x, const TransientLevel& step, bool first);
  double source_size(const TransientLevel& x);
  void apply(const TransientLevel& step, std::vector<double>& image) const;

  TransientSystem& system_;
  BorderedCholesky cholesky_;
  bool factorised_ = false;
  double factor_tau_ = 0;
  // Of the stage at hand.
  double tau_ = 0;
  GapTurn turn_;
  std::vector<double> linear_;             // values of the linear elements and of M/τ
  std::vector<double> constant_, source_;  // right side of the field's rows; magnets and fed branches alone
  Eigen::MatrixXd corner_;
  Eigen::VectorXd corner_source_;
  // Of the iterate at hand.
  std::vector<double> values_, residual_, force_, linear_x_, linear_step_, trial_;
  Eigen::VectorXd border_residual_;
  std::vector<double> left_, image_;
  TransientLevel direction_, preconditioned_;
};

}  // namespace polepitch
