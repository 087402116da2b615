#include "solver/third_order.h"

#include <algorithm>
#include <cmath>

#include "solver/dense_blas.h"
#include "solver/vector_sums.h"

namespace polepitch {
namespace {

constexpr int kMostIterations = 200;

}  // namespace

ThirdOrder::ThirdOrder(const FieldSystem& system)
    : system_(system),
      tables_(system),
      stiffness_(tables_),
      gap_{join(system.annulus->stator(), tables_.gap[0]), join(system.annulus->rotor(), tables_.gap[1])},
      fixed_diagonal_(static_cast<size_t>(tables_.size), 0.0) {
  stiffness_.add_diagonal(false, fixed_diagonal_);
  const auto add_circle = [&](const TraceFourier& trace, const Eigen::VectorXd& weight) {
    for (size_t k = 0; k < trace.unknowns.size(); ++k) {
      const auto column = static_cast<Eigen::Index>(k);
      fixed_diagonal_[trace.unknowns[k]] +=
          (trace.re.col(column).cwiseAbs2() + trace.im.col(column).cwiseAbs2()).dot(weight);
    }
  };
  for (const TraceFourier& trace : tables_.gap) add_circle(trace, system.annulus->self());
  if (tables_.outside_orders.empty()) return;
  outside_weight_ = outside_weight(tables_.outside_orders, system.section.sectors).replicate(2, 1);
  outside_ = join(tables_.outside_second, tables_.outside);
  add_circle(tables_.outside, outside_weight_.head(outside_weight_.size() / 2));
}

ThirdOrder::Circle ThirdOrder::join(const TraceFourier& second, const TraceFourier& third) {
  Circle circle;
  circle.map.resize(2 * second.re.rows(), second.re.cols() + third.re.cols());
  circle.map << second.re, third.re, second.im, third.im;
  circle.unknowns = second.unknowns;
  circle.unknowns.insert(circle.unknowns.end(), third.unknowns.begin(), third.unknowns.end());
  return circle;
}

void ThirdOrder::show(const Circle& circle, const std::vector<double>& z, Eigen::VectorXd& u) const {
  local_.resize(circle.map.cols());
  for (size_t k = 0; k < circle.unknowns.size(); ++k) local_[static_cast<Eigen::Index>(k)] = z[circle.unknowns[k]];
  dense::multiply(circle.map, local_.data(), u);
}

void ThirdOrder::add_force(const Circle& circle, const Eigen::VectorXd& u, std::vector<double>& y) const {
  dense::multiply_transposed(circle.map, u.data(), local_);
  for (size_t k = 0; k < circle.unknowns.size(); ++k) y[circle.unknowns[k]] += local_[static_cast<Eigen::Index>(k)];
}

std::vector<double> ThirdOrder::join(const std::vector<double>& x, const std::vector<double>& bubbles) const {
  std::vector<double> z = x;
  z.resize(static_cast<size_t>(size()), 0.0);
  std::copy(bubbles.begin(), bubbles.end(), z.begin() + static_cast<std::ptrdiff_t>(x.size()));
  return z;
}

std::vector<double> ThirdOrder::source(const Excitation& excitation) const {
  std::vector<double> f = join(system_.source(excitation), {});
  for (size_t b = 0; b < tables_.branch.size() && b < excitation.currents.size(); ++b)
    if (excitation.currents[b] != 0) tables_.branch[b].add_to(f, excitation.currents[b]);
  tables_.magnets.add_to(f, excitation.magnets);
  return f;
}

void ThirdOrder::linearise(const GapTurn& turn, const std::vector<double>& z, bool frozen, std::vector<double>& force) {
  force.assign(z.size(), 0.0);
  stiffness_.linearise(z, frozen, force);
  inverse_diagonal_ = fixed_diagonal_;
  stiffness_.add_diagonal(true, inverse_diagonal_);
  for (double& d : inverse_diagonal_) d = d > 0 ? 1 / d : 0;
  add_circles(turn, z, force);
}

void ThirdOrder::add_circles(const GapTurn& turn, const std::vector<double>& z, std::vector<double>& y) const {
  const Eigen::VectorXd& self = system_.annulus->self();
  for (int side = 0; side < 2; ++side) show(gap_[side], z, shown_[side]);
  for (int side = 0; side < 2; ++side) {
    side == 0 ? system_.annulus->to_stator(turn, shown_[1], sent_) : system_.annulus->to_rotor(turn, shown_[0], sent_);
    sent_.head(self.size()) = self.cwiseProduct(shown_[side].head(self.size())) - sent_.head(self.size());
    sent_.tail(self.size()) = self.cwiseProduct(shown_[side].tail(self.size())) - sent_.tail(self.size());
    add_force(gap_[side], sent_, y);
  }
  if (outside_.unknowns.empty()) return;
  show(outside_, z, sent_);
  sent_ = sent_.cwiseProduct(outside_weight_).eval();
  add_force(outside_, sent_, y);
}

void ThirdOrder::precondition(CoupledCholesky& second, const std::vector<double>& right, std::vector<double>& x) const {
  const auto own = static_cast<size_t>(system_.size());
  second.precondition({right.data(), own}, {x.data(), own});
  for (size_t i = own; i < x.size(); ++i) x[i] = right[i] * inverse_diagonal_[i];
}

// Conjugate gradients on what is left once the bubbles inside the elements are eliminated.
double ThirdOrder::solve(const GapTurn& turn, CoupledCholesky& second, const std::vector<double>& right,
                         double reduction, std::vector<double>& z) {
  const auto kept = static_cast<size_t>(tables_.kept);
  residual_ = right;
  const double inside = stiffness_.eliminate(residual_);
  residual_.resize(kept);
  preconditioned_.resize(kept);
  step_.assign(kept, 0.0);
  precondition(second, residual_, preconditioned_);
  direction_ = preconditioned_;
  double rz = dot(residual_, preconditioned_);
  const double start = rz, target = reduction * reduction * rz;
  for (int k = 0; k < kMostIterations && rz > target; ++k) {
    image_.assign(kept, 0.0);
    stiffness_.add_product(direction_, image_);
    add_circles(turn, direction_, image_);
    const double alpha = rz / dot(direction_, image_);
    third_order::advance(kept, alpha, direction_.data(), image_.data(), step_.data(), residual_.data());
    precondition(second, residual_, preconditioned_);
    const double next = dot(residual_, preconditioned_);
    third_order::redirect(kept, next / rz, preconditioned_.data(), direction_.data());
    rz = next;
  }
  stiffness_.add_step(right, step_, z);
  return std::sqrt(start + inside);
}

void ThirdOrder::add_gap(std::span<const double> bubbles, double rotor_angle, GapField& gap) const {
  for (int side = 0; side < 2; ++side) {
    const TraceFourier& trace = tables_.gap[side];
    Eigen::VectorXd local(static_cast<Eigen::Index>(trace.unknowns.size()));
    for (size_t k = 0; k < trace.unknowns.size(); ++k)
      local[static_cast<Eigen::Index>(k)] = bubbles[trace.unknowns[k] - system_.size()];
    const Eigen::VectorXd re = trace.re * local, im = trace.im * local;
    for (size_t n = 0; n < gap.harmonics.size(); ++n) {
      GapHarmonic& harmonic = gap.harmonics[n];
      const std::complex<double> change{re[static_cast<Eigen::Index>(n)], im[static_cast<Eigen::Index>(n)]};
      if (side == 0)
        harmonic.stator += change;
      else
        harmonic.rotor += change * std::polar(1.0, -harmonic.order * rotor_angle);
    }
  }
}

namespace {

double dot_bubbles(const SparseVector& weights, int first, std::span<const double> bubbles) {
  double sum = 0;
  for (size_t k = 0; k < weights.index.size(); ++k) sum += weights.value[k] * bubbles[weights.index[k] - first];
  return sum;
}

}  // namespace

double ThirdOrder::linkage(int branch, std::span<const double> bubbles) const {
  return dot_bubbles(tables_.branch[branch], system_.size(), bubbles);
}

double ThirdOrder::mean_potential(int region, std::span<const double> bubbles) const {
  return dot_bubbles(tables_.region[region], system_.size(), bubbles);
}

Point ThirdOrder::flux_density(int triangle, Barycentric at, std::span<const double> bubbles) const {
  const ThirdOrderElement& element = tables_.elements[triangle];
  const ElementPoint p = element_point(system_.mesh, triangle, at);
  const BubbleValues values = bubble_values(at);
  Point b{0, 0};
  for (int i = 0; i < 4; ++i) {
    if (element.unknown[6 + i] < 0) continue;
    const double a = element.sign[6 + i] * bubbles[element.unknown[6 + i] - system_.size()];
    const Point slope = p.gradient(values.d1[i], values.d2[i]);
    b.x += a * slope.y;
    b.y -= a * slope.x;
  }
  return b;
}

double ThirdOrder::energy(const GapTurn& turn, const std::vector<double>& z) const {
  std::vector<double> force(z.size(), 0.0);
  add_circles(turn, z, force);
  return stiffness_.energy(z) + system_.magnet_energy - tables_.magnets.dot(z) - system_.magnets.dot(z) +
         0.5 * dot(z, force);
}

}  // namespace polepitch
