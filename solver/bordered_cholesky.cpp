#include "solver/bordered_cholesky.h"

namespace polepitch {

BorderedCholesky::BorderedCholesky(const LowerPattern& pattern, const Annulus& annulus)
    : cholesky_(pattern, annulus), y_(static_cast<size_t>(pattern.size)) {
  for (int side : {0, 1}) {
    gap_[side].first = cholesky_.sides().first_of(side);
    gap_[side].count = static_cast<Eigen::Index>(cholesky_.sides().unknowns_of(side).size());
  }
}

void BorderedCholesky::set_border(std::vector<SparseVector> columns) {
  columns_ = std::move(columns);
}

bool BorderedCholesky::factorise(std::span<const double> values, const GapTurn& turn) {
  if (!cholesky_.factorise(values, turn)) return false;
  forward_border();
  couple_border();
  return true;
}

void BorderedCholesky::turn_to(const GapTurn& turn) {
  cholesky_.turn_to(turn);
  couple_border();
}

void BorderedCholesky::forward_border() {
  const auto count = static_cast<Eigen::Index>(columns_.size());
  forward_.resize(static_cast<Eigen::Index>(y_.size()), count);
  std::vector<double> right(y_.size(), 0.0);
  for (Eigen::Index k = 0; k < count; ++k) {
    columns_[k].add_to(right, 1);
    cholesky_.forward(right, {forward_.col(k).data(), y_.size()});
    for (int i : columns_[k].index) right[i] = 0;
  }
  plain_.noalias() = forward_.transpose() * forward_;
}

void BorderedCholesky::couple_border() {
  schur_ = plain_;
  for (Rows& rows : gap_) rows.change.resize(rows.count, forward_.cols());
  for (Eigen::Index k = 0; k < forward_.cols(); ++k) {
    for (const Rows& rows : gap_)  // the exchange looks at these rows alone
      Eigen::Map<Eigen::VectorXd>(y_.data() + rows.first, rows.count) = forward_.col(k).segment(rows.first, rows.count);
    cholesky_.couple(y_);
    for (Rows& rows : gap_)
      rows.change.col(k) = Eigen::Map<Eigen::VectorXd>(y_.data() + rows.first, rows.count) -
                           forward_.col(k).segment(rows.first, rows.count);
  }
  for (const Rows& rows : gap_)
    schur_.noalias() += forward_.middleRows(rows.first, rows.count).transpose() * rows.change;
}

bool BorderedCholesky::set_corner(const Eigen::MatrixXd& d) {
  if (d.size() == 0) return true;
  corner_.compute(d - schur_);
  return corner_.isInvertible();
}

void BorderedCholesky::solve(const std::vector<double>& f, const Eigen::VectorXd& g, std::vector<double>& x,
                             Eigen::VectorXd& z) {
  x.resize(f.size());
  cholesky_.forward(f, y_);
  cholesky_.couple(y_);
  Eigen::Map<Eigen::VectorXd> y(y_.data(), static_cast<Eigen::Index>(y_.size()));
  if (forward_.cols() > 0) {
    z = corner_.solve(g - forward_.transpose() * y);
    y.noalias() -= forward_ * z;
    for (const Rows& rows : gap_) y.segment(rows.first, rows.count).noalias() -= rows.change * z;
  } else {
    z.resize(0);
  }
  cholesky_.backward(y_, x);
}

}  // namespace polepitch
