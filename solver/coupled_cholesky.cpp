#include "solver/coupled_cholesky.h"

#include <time.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace polepitch {
namespace {

std::array<std::vector<int>, 2> gap_unknowns(const Annulus& annulus) {
  return {annulus.stator().unknowns, annulus.rotor().unknowns};
}

/// Columns of the trace's map in the given order of its unknowns, transposed: unknowns × 2 orders.
Eigen::MatrixXd transposed_map(const TraceFourier& trace, const std::vector<int>& order) {
  const Eigen::Index count = trace.re.rows();
  Eigen::MatrixXd map(static_cast<Eigen::Index>(order.size()), 2 * count);
  for (size_t k = 0; k < order.size(); ++k) {
    const auto at = std::lower_bound(trace.unknowns.begin(), trace.unknowns.end(), order[k]) - trace.unknowns.begin();
    const auto row = static_cast<Eigen::Index>(k);
    map.row(row).head(count) = trace.re.col(at).transpose();
    map.row(row).tail(count) = trace.im.col(at).transpose();
  }
  return map;
}

LowerPattern add_groups(const LowerPattern& pattern, std::span<const std::vector<int>> groups) {
  std::vector<std::vector<int>> all(groups.begin(), groups.end());
  for (int c = 0; c < pattern.size; ++c)
    for (int k = pattern.column_start[c]; k < pattern.column_start[c + 1]; ++k) all.push_back({pattern.row[k], c});
  return build_pattern(pattern.size, all);
}

double processor_time() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace

CoupledCholesky::CoupledCholesky(const LowerPattern& pattern, const Annulus& annulus)
    : annulus_(annulus),
      with_gap_(add_groups(pattern, gap_unknowns(annulus))),
      sides_(with_gap_, gap_unknowns(annulus)),
      y_(pattern.size) {
  for (int c = 0; c < pattern.size; ++c)
    for (int k = pattern.column_start[c]; k < pattern.column_start[c + 1]; ++k)
      position_.push_back(with_gap_.position(pattern.row[k], c));
  gap_values_.assign(with_gap_.row.size(), 0.0);
  add_block(with_gap_, annulus.stator().unknowns, annulus.stator_block(), gap_values_);
  add_block(with_gap_, annulus.rotor().unknowns, annulus.rotor_block(), gap_values_);
  trace_[0] = transposed_map(annulus.stator(), sides_.unknowns_of(0));
  trace_[1] = transposed_map(annulus.rotor(), sides_.unknowns_of(1));
}

bool CoupledCholesky::factorise(std::span<const double> values, const GapTurn& turn) {
  const double start = processor_time();
  const bool done = factorise_sides(values) && turn_to(turn);
  times_.factorise += processor_time() - start;
  ++times_.factorisations;
  return done;
}

bool CoupledCholesky::factorise_sides(std::span<const double> values) {
  single_.sides_old = true;
  values_ = gap_values_;
  for (size_t k = 0; k < position_.size(); ++k) values_[position_[k]] += values[k];
  if (!sides_.factorise(values_)) return false;
  for (int side = 0; side < 2; ++side) {
    sides_.copy_block(side, triangle_);
    x_[side] = trace_[side];
    dense::solve_lower(triangle_, x_[side]);
    dense::gram(x_[side], admittance_[side]);
  }
  return true;
}

// With b the orders that each side alone would show on its circle, u_s = b_s + G_s N u_r, u_r = b_r + G_r Nᵀ u_s.
bool CoupledCholesky::turn_to(const GapTurn& turn) {
  turn_ = turn;
  turned_[0] = admittance_[0];
  turned_[1] = admittance_[1];
  annulus_.exchange_columns(turn_, turned_[0], turned_[1]);
  dense::multiply(turned_[0], turned_[1], reduced_.factors);
  reduced_.factors = -reduced_.factors;
  reduced_.factors.diagonal().array() += 1;
  single_.angle_old = true;
  return reduced_.factorise();
}

void CoupledCholesky::couple(std::span<double> y) {
  Eigen::Map<Eigen::VectorXd> outer(y.data() + sides_.first_of(0), x_[0].rows());
  Eigen::Map<Eigen::VectorXd> inner(y.data() + sides_.first_of(1), x_[1].rows());
  Eigen::VectorXd &stator = orders_[0], &rotor = orders_[1], &sent = orders_[2];
  dense::multiply_transposed(x_[0], outer.data(), stator);
  dense::multiply_transposed(x_[1], inner.data(), rotor);
  annulus_.to_stator(turn_, rotor, sent);
  dense::add_product(admittance_[0], sent, 1, stator.data());
  reduced_.solve(stator);
  annulus_.to_rotor(turn_, stator, sent);
  dense::add_product(x_[1], sent, 1, inner.data());
  dense::add_product(admittance_[1], sent, 1, rotor.data());
  annulus_.to_stator(turn_, rotor, sent);
  dense::add_product(x_[0], sent, 1, outer.data());
}

// As couple(), the orders themselves in double precision.
void CoupledCholesky::couple_single(float* y) {
  float *outer = y + sides_.first_of(0), *inner = y + sides_.first_of(1);
  Eigen::VectorXd &stator = orders_[0], &rotor = orders_[1], &sent = orders_[2];
  const auto show = [&](const Eigen::MatrixXf& x, const float* side, Eigen::VectorXd& orders) {
    dense::multiply_transposed(x, side, single_.shown);
    orders = single_.shown.cast<double>();
  };
  const auto send = [&](const Eigen::MatrixXf& a, float* to) {
    single_.sent = sent.cast<float>();
    dense::add_product(a, single_.sent, to);
  };
  show(single_.x[0], outer, stator);
  show(single_.x[1], inner, rotor);
  annulus_.to_stator(turn_, rotor, sent);
  single_.shown = stator.cast<float>();
  send(single_.admittance[0], single_.shown.data());
  dense::solve(single_.factors, reduced_.exchanges, single_.shown);
  stator = single_.shown.cast<double>();
  annulus_.to_rotor(turn_, stator, sent);
  send(single_.x[1], inner);
  single_.shown = rotor.cast<float>();
  send(single_.admittance[1], single_.shown.data());
  rotor = single_.shown.cast<double>();
  annulus_.to_stator(turn_, rotor, sent);
  send(single_.x[0], outer);
}

void CoupledCholesky::precondition(std::span<const double> right, std::span<double> solution) {
  const double start = processor_time();
  FloatFactor& factor = sides_.in_single_precision();
  if (single_.sides_old)
    for (int side = 0; side < 2; ++side) {
      single_.x[side] = x_[side].cast<float>();
      single_.admittance[side] = admittance_[side].cast<float>();
    }
  if (single_.angle_old) single_.factors = reduced_.factors.cast<float>();
  single_.sides_old = single_.angle_old = false;
  double largest = 0;
  for (double r : right) largest = std::max(largest, std::abs(r));
  const double scale = largest > 0 ? largest : 1;
  const std::vector<int>& order = sides_.order();
  single_.y.resize(static_cast<Eigen::Index>(order.size()));
  float* y = single_.y.data();
  for (size_t k = 0; k < order.size(); ++k) y[k] = static_cast<float>(right[order[k]] / scale);
  factor.forward(y);
  couple_single(y);
  factor.backward(y);
  for (size_t k = 0; k < order.size(); ++k) solution[order[k]] = scale * y[k];
  times_.solve += processor_time() - start;
  ++times_.solves;
}

void CoupledCholesky::solve(std::span<const double> right, std::span<double> solution) {
  const double start = processor_time();
  forward(right, y_);
  couple(y_);
  backward(y_, solution);
  times_.solve += processor_time() - start;
  ++times_.solves;
}

}  // namespace polepitch
