#include "solver/third_order.h"

#include <algorithm>
#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {
namespace {

constexpr int kMostIterations = 200;

struct Local {
  double value[kThirdShapes];
};

Local gather(const ThirdOrderElement& element, const std::vector<double>& z) {
  Local local;
  for (int i = 0; i < kThirdShapes; ++i) local.value[i] = element.unknown[i] < 0 ? 0 : z[element.unknown[i]];
  return local;
}

Point curl_at(const ThirdOrderElement::Point& p, const Local& local) {
  Point b{0, 0};
  for (int i = 0; i < kThirdShapes; ++i) {
    b.x += p.cx[i] * local.value[i];
    b.y += p.cy[i] * local.value[i];
  }
  return b;
}

template <class Entries>
void add_product(const ThirdOrderElement& element, const Entries& k, const Local& local, std::vector<double>& y) {
  double f[kThirdShapes] = {};
  int n = 0;
  for (int i = 0; i < kThirdShapes; ++i) {
    for (int j = 0; j < i; ++j, ++n) {
      f[i] += k[n] * local.value[j];
      f[j] += k[n] * local.value[i];
    }
    f[i] += k[n++] * local.value[i];
  }
  for (int i = 0; i < kThirdShapes; ++i)
    if (element.unknown[i] >= 0) y[element.unknown[i]] += f[i];
}

/// Adds one point's stiffness: ν ∫ curl φ_i · curl φ_j and, where `slope` is not 0, the tangent's second part.
template <class Entries>
void add_stiffness(const ThirdOrderElement::Point& p, double nu, double slope, Point b, Entries& k) {
  const double w = p.weight * nu, s = 2 * p.weight * slope;
  double along[kThirdShapes];
  for (int i = 0; i < kThirdShapes; ++i) along[i] = b.x * p.cx[i] + b.y * p.cy[i];
  int n = 0;
  for (int i = 0; i < kThirdShapes; ++i)
    for (int j = 0; j <= i; ++j, ++n) k[n] += w * (p.cx[i] * p.cx[j] + p.cy[i] * p.cy[j]) + s * along[i] * along[j];
}

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

/// u += both traces' coefficients of z, real over imaginary parts.
void add_orders(const TraceFourier& trace, const std::vector<double>& z, Eigen::VectorXd& u) {
  const Eigen::Index count = trace.re.rows();
  for (size_t k = 0; k < trace.unknowns.size(); ++k) {
    u.head(count) += z[trace.unknowns[k]] * trace.re.col(static_cast<Eigen::Index>(k));
    u.tail(count) += z[trace.unknowns[k]] * trace.im.col(static_cast<Eigen::Index>(k));
  }
}

void add_orders_force(const TraceFourier& trace, const Eigen::VectorXd& u, std::vector<double>& y) {
  const Eigen::Index count = trace.re.rows();
  for (size_t k = 0; k < trace.unknowns.size(); ++k)
    y[trace.unknowns[k]] += trace.re.col(static_cast<Eigen::Index>(k)).dot(u.head(count)) +
                            trace.im.col(static_cast<Eigen::Index>(k)).dot(u.tail(count));
}

}  // namespace

ThirdOrder::ThirdOrder(const FieldSystem& system)
    : system_(system),
      tables_(system),
      stiffness_(tables_.elements.size()),
      circle_diagonal_(static_cast<size_t>(tables_.size), 0.0) {
  for (size_t e = 0; e < stiffness_.size(); ++e) {
    const BhCurve& curve = system.curves[system.mesh.region[e]];
    if (!curve.linear()) {
      nonlinear_.push_back(static_cast<int>(e));
      continue;
    }
    double nu, slope;
    curve.reluctivity(0, nu, slope);
    stiffness_[e].fill(0);
    for (const ThirdOrderElement::Point& p : tables_.elements[e].point) add_stiffness(p, nu, 0, {}, stiffness_[e]);
  }
  const auto add_circle = [&](const TraceFourier& trace, const Eigen::VectorXd& weight) {
    for (size_t k = 0; k < trace.unknowns.size(); ++k) {
      const auto column = static_cast<Eigen::Index>(k);
      circle_diagonal_[trace.unknowns[k]] +=
          (trace.re.col(column).cwiseAbs2() + trace.im.col(column).cwiseAbs2()).dot(weight);
    }
  };
  for (const TraceFourier& trace : tables_.gap) add_circle(trace, system.annulus->self());
  if (!tables_.outside_orders.empty())
    add_circle(tables_.outside, outside_weight(tables_.outside_orders, system.section.sectors));
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
  for (const int e : nonlinear_) {
    const ThirdOrderElement& element = tables_.elements[e];
    const BhCurve& curve = system_.curves[system_.mesh.region[e]];
    const Local local = gather(element, z);
    stiffness_[e].fill(0);
    double f[kThirdShapes] = {};
    for (const ThirdOrderElement::Point& p : element.point) {
      const Point b = curl_at(p, local);
      double nu, slope;
      curve.reluctivity(b.x * b.x + b.y * b.y, nu, slope);
      for (int i = 0; i < kThirdShapes; ++i) f[i] += p.weight * nu * (b.x * p.cx[i] + b.y * p.cy[i]);
      add_stiffness(p, nu, frozen ? 0 : slope, b, stiffness_[e]);
    }
    for (int i = 0; i < kThirdShapes; ++i)
      if (element.unknown[i] >= 0) force[element.unknown[i]] += f[i];
  }
  diagonal_ = circle_diagonal_;
  for (size_t e = 0; e < stiffness_.size(); ++e) {
    const ThirdOrderElement& element = tables_.elements[e];
    for (int i = 6; i < kThirdShapes; ++i)
      if (element.unknown[i] >= 0) diagonal_[element.unknown[i]] += stiffness_[e][i * (i + 3) / 2];
    if (system_.curves[system_.mesh.region[e]].linear()) add_product(element, stiffness_[e], gather(element, z), force);
  }
  add_circles(turn, z, force);
}

void ThirdOrder::multiply(const GapTurn& turn, const std::vector<double>& z, std::vector<double>& y) const {
  y.assign(z.size(), 0.0);
  for (size_t e = 0; e < stiffness_.size(); ++e)
    add_product(tables_.elements[e], stiffness_[e], gather(tables_.elements[e], z), y);
  add_circles(turn, z, y);
}

void ThirdOrder::add_circles(const GapTurn& turn, const std::vector<double>& z, std::vector<double>& y) const {
  const TraceFourier* second[2] = {&system_.annulus->stator(), &system_.annulus->rotor()};
  const Eigen::VectorXd& self = system_.annulus->self();
  Eigen::VectorXd shown[2], sent;
  for (int side = 0; side < 2; ++side) {
    shown[side] = Eigen::VectorXd::Zero(2 * self.size());
    add_orders(*second[side], z, shown[side]);
    add_orders(tables_.gap[side], z, shown[side]);
  }
  for (int side = 0; side < 2; ++side) {
    side == 0 ? system_.annulus->to_stator(turn, shown[1], sent) : system_.annulus->to_rotor(turn, shown[0], sent);
    sent.head(self.size()) = self.cwiseProduct(shown[side].head(self.size())) - sent.head(self.size());
    sent.tail(self.size()) = self.cwiseProduct(shown[side].tail(self.size())) - sent.tail(self.size());
    add_orders_force(*second[side], sent, y);
    add_orders_force(tables_.gap[side], sent, y);
  }
  if (tables_.outside_orders.empty()) return;
  const Eigen::VectorXd weight = outside_weight(tables_.outside_orders, system_.section.sectors);
  shown[0] = Eigen::VectorXd::Zero(2 * weight.size());
  add_orders(tables_.outside_second, z, shown[0]);
  add_orders(tables_.outside, z, shown[0]);
  shown[0].head(weight.size()).array() *= weight.array();
  shown[0].tail(weight.size()).array() *= weight.array();
  add_orders_force(tables_.outside_second, shown[0], y);
  add_orders_force(tables_.outside, shown[0], y);
}

void ThirdOrder::precondition(CoupledCholesky& second, const std::vector<double>& right, std::vector<double>& z) const {
  const auto own = static_cast<size_t>(system_.size());
  z.resize(right.size());
  second.solve({right.data(), own}, {z.data(), own});
  for (size_t i = own; i < z.size(); ++i) z[i] = diagonal_[i] > 0 ? right[i] / diagonal_[i] : 0;
}

double ThirdOrder::solve(const GapTurn& turn, CoupledCholesky& second, const std::vector<double>& right,
                         double reduction, std::vector<double>& z) {
  residual_ = right;
  precondition(second, residual_, preconditioned_);
  direction_ = preconditioned_;
  double rz = dot(residual_, preconditioned_);
  const double start = rz, target = reduction * reduction * rz;
  for (int k = 0; k < kMostIterations && rz > target; ++k) {
    multiply(turn, direction_, image_);
    const double alpha = rz / dot(direction_, image_);
    for (size_t i = 0; i < z.size(); ++i) {
      z[i] += alpha * direction_[i];
      residual_[i] -= alpha * image_[i];
    }
    precondition(second, residual_, preconditioned_);
    const double next = dot(residual_, preconditioned_);
    for (size_t i = 0; i < z.size(); ++i) direction_[i] = preconditioned_[i] + next / rz * direction_[i];
    rz = next;
  }
  return std::sqrt(start);
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
  double sum = system_.magnet_energy - tables_.magnets.dot(z) - system_.magnets.dot(z);
  for (size_t e = 0; e < stiffness_.size(); ++e) {
    const ThirdOrderElement& element = tables_.elements[e];
    const BhCurve& curve = system_.curves[system_.mesh.region[e]];
    const Local local = gather(element, z);
    if (curve.linear()) {
      add_product(element, stiffness_[e], local, force);
      continue;
    }
    for (const ThirdOrderElement::Point& p : element.point) {
      const Point b = curl_at(p, local);
      sum += p.weight * curve.energy(std::hypot(b.x, b.y));
    }
  }
  add_circles(turn, z, force);
  return sum + 0.5 * dot(z, force);
}

}  // namespace polepitch
