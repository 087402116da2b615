#include "solver/annulus.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "solver/bh_curve.h"
#include "solver/dense_blas.h"

namespace polepitch {
namespace {

// Gauss–Legendre, eight points on [−1, 1]: an edge turns the phase of the highest order by about π at most, which eight
// points integrate to round-off.
constexpr std::array<double, 8> kGaussAt = {-0.9602898564975363, -0.7966664774136267, -0.5255324099163290,
                                            -0.1834346424956498, 0.1834346424956498,  0.5255324099163290,
                                            0.7966664774136267,  0.9602898564975363};
constexpr std::array<double, 8> kGaussWeight = {0.1012285362903763, 0.2223810344533745, 0.3137066458778873,
                                                0.3626837833783620, 0.3626837833783620, 0.3137066458778873,
                                                0.2223810344533745, 0.1012285362903763};

/// Lagrange shapes on an edge, t in [−1, 1]: start, (mid,) end.
std::array<double, 3> edge_shapes(int order, double t) {
  if (order == 1) return {0.5 * (1 - t), 0.5 * (1 + t), 0};
  return {0.5 * t * (t - 1), 1 - t * t, 0.5 * t * (t + 1)};
}

double node_angle(const Mesh& mesh, int node) {
  return std::atan2(mesh.nodes[node].y, mesh.nodes[node].x);
}

double turn_between(double from, double to) {
  double d = to - from;
  d -= 2 * pi * std::floor(d / (2 * pi));
  return d;
}

}  // namespace

void add_block(const LowerPattern& pattern, const std::vector<int>& unknowns, const Eigen::MatrixXd& block,
               std::vector<double>& values) {
  for (size_t c = 0; c < unknowns.size(); ++c)
    for (size_t r = c; r < unknowns.size(); ++r)
      values[pattern.position(unknowns[r], unknowns[c])] +=
          block(static_cast<Eigen::Index>(r), static_cast<Eigen::Index>(c));
}

std::vector<int> admitted_orders(int sectors, int sign, int largest) {
  std::vector<int> orders;
  const int first = sign > 0 ? 0 : sectors / 2;
  for (int n = first; n <= std::max(largest, first); n += sectors) orders.push_back(n);
  return orders;
}

void integrate_phases(const Mesh& mesh, const TraceCircle& circle, const std::vector<int>& orders,
                      const std::function<void(size_t edge, double t, const Phases& phase)>& visit) {
  const auto count = static_cast<Eigen::Index>(orders.size());
  Phases phase{Eigen::VectorXd(count), Eigen::VectorXd(count)};
  const size_t step = mesh.order;
  for (size_t k = 0; k + step < circle.nodes.size(); k += step) {
    const double from = node_angle(mesh, circle.nodes[k]);
    const double span = turn_between(from, node_angle(mesh, circle.nodes[k + step]));
    for (size_t q = 0; q < kGaussAt.size(); ++q) {
      const double angle = from + 0.5 * span * (1 + kGaussAt[q]);
      for (Eigen::Index n = 0; n < count; ++n) {
        const double scale = (orders[n] == 0 ? 0.5 : 1.0) * mesh.sectors / pi * 0.5 * span * kGaussWeight[q];
        phase.cosine[n] = scale * std::cos(orders[n] * angle);
        phase.sine[n] = scale * std::sin(orders[n] * angle);
      }
      visit(k / step, kGaussAt[q], phase);
    }
  }
}

TraceFourier trace_fourier(const Mesh& mesh, const Dofs& dofs, const TraceCircle& circle,
                           const std::vector<int>& orders) {
  TraceFourier trace;
  for (int node : circle.nodes)
    if (dofs.unknown[node] >= 0) trace.unknowns.push_back(dofs.unknown[node]);
  std::sort(trace.unknowns.begin(), trace.unknowns.end());
  trace.unknowns.erase(std::unique(trace.unknowns.begin(), trace.unknowns.end()), trace.unknowns.end());
  std::map<int, int> column;
  for (size_t i = 0; i < trace.unknowns.size(); ++i) column[trace.unknowns[i]] = static_cast<int>(i);

  const auto rows = static_cast<Eigen::Index>(orders.size()),
             columns = static_cast<Eigen::Index>(trace.unknowns.size());
  trace.re = Eigen::MatrixXd::Zero(rows, columns);
  trace.im = Eigen::MatrixXd::Zero(rows, columns);
  const int step = mesh.order;
  integrate_phases(mesh, circle, orders, [&](size_t edge, double t, const Phases& phase) {
    const auto shapes = edge_shapes(mesh.order, t);
    for (int i = 0; i <= step; ++i) {
      const int node = circle.nodes[edge * step + i];
      if (dofs.unknown[node] < 0) continue;
      const int col = column.at(dofs.unknown[node]);
      trace.re.col(col) += dofs.sign[node] * shapes[i] * phase.cosine;
      trace.im.col(col) -= dofs.sign[node] * shapes[i] * phase.sine;
    }
  });
  return trace;
}

Annulus::Annulus(const Mesh& mesh, const Dofs& dofs, std::vector<int> orders)
    : sectors_(mesh.sectors),
      rotor_radius_(mesh.gap[1].radius),
      stator_radius_(mesh.gap[0].radius),
      orders_(std::move(orders)),
      stator_(trace_fourier(mesh, dofs, mesh.gap[0], orders_)),
      rotor_(trace_fourier(mesh, dofs, mesh.gap[1], orders_)) {
  const auto count = static_cast<Eigen::Index>(orders_.size());
  const double log_ratio = std::abs(std::log(stator_radius_ / rotor_radius_));
  self_.resize(count);
  mutual_.resize(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const int n = orders_[i];
    if (n == 0) {
      self_[i] = mutual_[i] = 2 * pi / (mu0 * sectors_ * log_ratio);
      continue;
    }
    const double decay = std::exp(-n * log_ratio), square = decay * decay;  // never r^n: it overflows
    self_[i] = pi * n / (mu0 * sectors_) * (1 + square) / (1 - square);
    mutual_[i] = pi * n / (mu0 * sectors_) * 2 * decay / (1 - square);
  }
  auto block = [&](const TraceFourier& t) {
    Eigen::MatrixXd k = t.re.transpose() * self_.asDiagonal() * t.re;
    k.noalias() += t.im.transpose() * self_.asDiagonal() * t.im;
    return k;
  };
  stator_block_ = block(stator_);
  rotor_block_ = block(rotor_);
  stator_map_.resize(2 * count, stator_.re.cols());
  stator_map_ << stator_.re, stator_.im;
  rotor_map_.resize(2 * count, rotor_.re.cols());
  rotor_map_ << rotor_.re, rotor_.im;
}

GapTurn Annulus::turn(double rotor_angle) const {
  const Eigen::Index count = mutual_.size();
  GapTurn turn{Eigen::VectorXd(count), Eigen::VectorXd(count)};
  for (Eigen::Index i = 0; i < count; ++i) {
    turn.cosine[i] = mutual_[i] * std::cos(orders_[i] * rotor_angle);
    turn.sine[i] = mutual_[i] * std::sin(orders_[i] * rotor_angle);
  }
  return turn;
}

// u_r e^{−jnθ}: the rotor's orders as the stator sees them.
template <class Real>
void Annulus::to_stator(const GapTurn& turn, const dense::Vector<Real>& rotor, dense::Vector<Real>& stator) const {
  const Eigen::Index n = turn.cosine.size();
  const auto cosine = turn.cosine.cast<Real>(), sine = turn.sine.cast<Real>();
  stator.resize(2 * n);
  stator.head(n) = cosine.cwiseProduct(rotor.head(n)) + sine.cwiseProduct(rotor.tail(n));
  stator.tail(n) = cosine.cwiseProduct(rotor.tail(n)) - sine.cwiseProduct(rotor.head(n));
}

template <class Real>
void Annulus::to_rotor(const GapTurn& turn, const dense::Vector<Real>& stator, dense::Vector<Real>& rotor) const {
  const Eigen::Index n = turn.cosine.size();
  const auto cosine = turn.cosine.cast<Real>(), sine = turn.sine.cast<Real>();
  rotor.resize(2 * n);
  rotor.head(n) = cosine.cwiseProduct(stator.head(n)) - sine.cwiseProduct(stator.tail(n));
  rotor.tail(n) = cosine.cwiseProduct(stator.tail(n)) + sine.cwiseProduct(stator.head(n));
}

template <class Real>
void Annulus::exchange_columns(const GapTurn& turn, dense::Matrix<Real>& stator, dense::Matrix<Real>& rotor) const {
  const Eigen::Index n = turn.cosine.size();
  dense::Vector<Real> re, im;
  for (Eigen::Index k = 0; k < n; ++k) {
    const Real c = static_cast<Real>(turn.cosine[k]), s = static_cast<Real>(turn.sine[k]);
    re = stator.col(k), im = stator.col(n + k);
    stator.col(k) = c * re - s * im;
    stator.col(n + k) = s * re + c * im;
    re = rotor.col(k), im = rotor.col(n + k);
    rotor.col(k) = c * re + s * im;
    rotor.col(n + k) = c * im - s * re;
  }
}

template void Annulus::to_stator(const GapTurn&, const Eigen::VectorXd&, Eigen::VectorXd&) const;
template void Annulus::to_stator(const GapTurn&, const Eigen::VectorXf&, Eigen::VectorXf&) const;
template void Annulus::to_rotor(const GapTurn&, const Eigen::VectorXd&, Eigen::VectorXd&) const;
template void Annulus::to_rotor(const GapTurn&, const Eigen::VectorXf&, Eigen::VectorXf&) const;
template void Annulus::exchange_columns(const GapTurn&, Eigen::MatrixXd&, Eigen::MatrixXd&) const;
template void Annulus::exchange_columns(const GapTurn&, Eigen::MatrixXf&, Eigen::MatrixXf&) const;

/// With `own` the whole map, otherwise the cross term alone.
void Annulus::add(const GapTurn& turn, bool own, const std::vector<double>& x, std::vector<double>& y) const {
  const TraceFourier* trace[2] = {&stator_, &rotor_};
  const Eigen::MatrixXd* map[2] = {&stator_map_, &rotor_map_};
  const Eigen::Index count = self_.size();
  for (int side = 0; side < 2; ++side) {
    local_.resize(map[side]->cols());
    for (Eigen::Index k = 0; k < local_.size(); ++k) local_[k] = x[trace[side]->unknowns[k]];
    dense::multiply(*map[side], local_.data(), shown_[side]);
  }
  for (int side = 0; side < 2; ++side) {
    side == 0 ? to_stator(turn, shown_[1], sent_) : to_rotor(turn, shown_[0], sent_);
    sent_ = -sent_;
    if (own) {
      sent_.head(count) += self_.cwiseProduct(shown_[side].head(count));
      sent_.tail(count) += self_.cwiseProduct(shown_[side].tail(count));
    }
    dense::multiply_transposed(*map[side], sent_.data(), local_);
    for (Eigen::Index k = 0; k < local_.size(); ++k) y[trace[side]->unknowns[k]] += local_[k];
  }
}

void Annulus::add_force(const GapTurn& turn, const std::vector<double>& x, std::vector<double>& y) const {
  add(turn, true, x, y);
}

void Annulus::add_force_rate(double rotor_angle, const std::vector<double>& x, std::vector<double>& y) const {
  GapTurn rate = turn(rotor_angle);
  rate.cosine.swap(rate.sine);
  for (Eigen::Index i = 0; i < mutual_.size(); ++i) {
    rate.cosine[i] *= -orders_[i];
    rate.sine[i] *= orders_[i];
  }
  add(rate, false, x, y);
}

GapField Annulus::field(const std::vector<double>& x, double rotor_angle) const {
  GapField gap;
  gap.rotor_radius = rotor_radius_;
  gap.stator_radius = stator_radius_;
  auto coefficients = [&](const TraceFourier& t) {
    Eigen::VectorXd local(t.re.cols());
    for (Eigen::Index k = 0; k < local.size(); ++k) local[k] = x[t.unknowns[k]];
    Eigen::VectorXcd u = (t.re * local).cast<std::complex<double>>();
    u += std::complex<double>(0, 1) * (t.im * local).cast<std::complex<double>>();
    return u;
  };
  const Eigen::VectorXcd stator = coefficients(stator_), rotor = coefficients(rotor_);
  for (size_t i = 0; i < orders_.size(); ++i)
    gap.harmonics.push_back({orders_[i], stator[i], rotor[i] * std::polar(1.0, -orders_[i] * rotor_angle)});
  return gap;
}

Eigen::VectorXd smooth_self(const Annulus& annulus, int sectors, double circle, double other) {
  Eigen::VectorXd self = annulus.self();
  for (Eigen::Index i = 0; i < self.size(); ++i) {
    const int n = annulus.orders()[i];
    if (n == 0) continue;
    const double q = std::exp(-2 * n * std::abs(std::log(circle / other)));
    self[i] = pi * n / (mu0 * sectors) * (1 - q) / (1 + q);
  }
  return self;
}

Eigen::VectorXd outside_weight(const std::vector<int>& orders, int sectors) {
  Eigen::VectorXd weight(static_cast<Eigen::Index>(orders.size()));
  for (size_t i = 0; i < orders.size(); ++i)
    // n = 0: any positive weight holds the mean at 0, because the net current of a machine is 0.
    weight[i] = pi * std::max(orders[i], 1) / (mu0 * sectors);
  return weight;
}

Eigen::MatrixXd outside_block(const TraceFourier& trace, const std::vector<int>& orders, int sectors) {
  const Eigen::VectorXd weight = outside_weight(orders, sectors);
  Eigen::MatrixXd k = trace.re.transpose() * weight.asDiagonal() * trace.re;
  k.noalias() += trace.im.transpose() * weight.asDiagonal() * trace.im;
  return k;
}

}  // namespace polepitch
