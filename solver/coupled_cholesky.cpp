#include "solver/coupled_cholesky.h"

#include <time.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

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
  values_ = gap_values_;
  for (size_t k = 0; k < position_.size(); ++k) values_[position_[k]] += values[k];
  const bool done = sides_.factorise(values_);
  coupling_.sides_old = single_.sides_old = true;
  turn_to(turn);
  times_.factorise += processor_time() - start;
  ++times_.factorisations;
  return done;
}

void CoupledCholesky::turn_to(const GapTurn& turn) {
  turn_ = turn;
  coupling_.angle_old = single_.angle_old = true;
}

// With b the orders that each side alone would show on its circle, u_s = b_s + G_s N u_r, u_r = b_r + G_r Nᵀ u_s.
template <class Real>
void CoupledCholesky::prepare(Coupling<Real>& c) {
  if (!c.sides_old && !c.angle_old) return;
  const double start = processor_time();
  for (int side = 0; side < 2 && c.sides_old; ++side) {
    sides_.copy_block(side, c.triangle);
    c.x[side] = trace_[side].cast<Real>();
    dense::solve_lower(c.triangle, c.x[side]);
    dense::gram(c.x[side], c.admittance[side]);
  }
  for (int side = 0; side < 2; ++side) c.turned[side] = c.admittance[side];
  annulus_.exchange_columns(turn_, c.turned[0], c.turned[1]);
  dense::multiply(c.turned[0], c.turned[1], c.reduced.factors);
  c.reduced.factors = -c.reduced.factors;
  c.reduced.factors.diagonal().array() += 1;
  if (!c.reduced.factorise()) throw std::runtime_error("the gap's coupling is singular");
  c.sides_old = c.angle_old = false;
  times_.factorise += processor_time() - start;
}

template <class Real>
void CoupledCholesky::couple(Coupling<Real>& c, Real* y) {
  Real *outer = y + sides_.first_of(0), *inner = y + sides_.first_of(1);
  dense::Vector<Real>&stator = c.orders[0], &rotor = c.orders[1], &sent = c.orders[2];
  dense::multiply_transposed(c.x[0], outer, stator);
  dense::multiply_transposed(c.x[1], inner, rotor);
  annulus_.to_stator(turn_, rotor, sent);
  dense::add_product(c.admittance[0], sent, Real{1}, stator.data());
  c.reduced.solve(stator);
  annulus_.to_rotor(turn_, stator, sent);
  dense::add_product(c.x[1], sent, Real{1}, inner);
  dense::add_product(c.admittance[1], sent, Real{1}, rotor.data());
  annulus_.to_stator(turn_, rotor, sent);
  dense::add_product(c.x[0], sent, Real{1}, outer);
}

void CoupledCholesky::couple(std::span<double> y) {
  prepare(coupling_);
  couple(coupling_, y.data());
}

void CoupledCholesky::precondition(std::span<const double> right, std::span<double> solution) {
  prepare(single_);
  const double start = processor_time();
  FloatFactor& factor = sides_.in_single_precision();
  double largest = 0;
  for (double r : right) largest = std::max(largest, std::abs(r));
  const double scale = largest > 0 ? largest : 1;
  const std::vector<int>& order = sides_.order();
  single_y_.resize(order.size());
  for (size_t k = 0; k < order.size(); ++k) single_y_[k] = static_cast<float>(right[order[k]] / scale);
  factor.forward(single_y_.data());
  couple(single_, single_y_.data());
  factor.backward(single_y_.data());
  for (size_t k = 0; k < order.size(); ++k) solution[order[k]] = scale * single_y_[k];
  times_.solve += processor_time() - start;
  ++times_.solves;
}

void CoupledCholesky::solve(std::span<const double> right, std::span<double> solution) {
  prepare(coupling_);
  const double start = processor_time();
  forward(right, y_);
  couple(y_);
  backward(y_, solution);
  times_.solve += processor_time() - start;
  ++times_.solves;
}

}  // namespace polepitch
