#include "solver/transient_system.h"

#include <cmath>

#include "solver/iron_force.h"

namespace polepitch {
namespace {

SparseVector scaled(const std::map<int, double>& entries, double scale) {
  SparseVector v;
  for (const auto& [i, value] : entries) {
    v.index.push_back(i);
    v.value.push_back(scale * value);
  }
  return v;
}

/// Σ weights_b vectors_b.
SparseVector combine(const std::vector<SparseVector>& vectors, const Eigen::VectorXd& weights) {
  std::map<int, double> sum;
  for (size_t b = 0; b < vectors.size(); ++b)
    if (weights[static_cast<Eigen::Index>(b)] != 0)
      for (size_t k = 0; k < vectors[b].index.size(); ++k)
        sum[vectors[b].index[k]] += weights[static_cast<Eigen::Index>(b)] * vectors[b].value[k];
  return scaled(sum, 1);
}

}  // namespace

TransientSystem::TransientSystem(const Section& section, const Mesh& mesh, const Materials& materials,
                                 const BarRing& pieces, const TransientOptions& opt)
    : system(section, mesh, materials, opt.field), options(opt), ring(pieces) {
  for (BranchKind kind : {BranchKind::bar, BranchKind::damper})
    for (BarIntegrals& bar : bar_integrals(system, materials, kind)) bars.push_back(std::move(bar));
  join_bars();
  conductivity = options.conductivity;
  conductivity.resize(section.regions.size(), 0.0);
  for (size_t r = 0; r < section.regions.size(); ++r)
    for (const BarIntegrals& bar : bars)
      if (section.regions[r].branch == bar.branch) conductivity[r] = bar.conductivity;
  mass = mass_values(system, conductivity);
  for (const BarIntegrals& bar : bars) shape.push_back(scaled(bar.shape, bar.conductivity));
  whole = section.sectors * section.length;
}

void TransientSystem::join_bars() {
  const size_t count = bars.size();
  if (ring.pieces.size() != count || ring.joined.size() != count)
    throw InputError("the rings have " + std::to_string(ring.pieces.size()) + " pieces for " + std::to_string(count) +
                     " bars");
  if (ring.next.empty())
    for (size_t k = 0; k < count; ++k) {
      ring.turned.push_back(k + 1 == count);
      ring.next.push_back(k + 1 == count ? 0 : static_cast<int>(k) + 1);
    }
  ring.overhang.resize(count);
  joints = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(count), static_cast<Eigen::Index>(count));
  for (int k = 0; k < static_cast<int>(count); ++k) {
    if (!ring.joined[k]) continue;
    joints(k, k) += 1;
    joints(ring.next[k], k) -= ring.turned[k] ? system.section.sign : 1;
  }
}

Eigen::MatrixXd TransientSystem::ring_impedance(double RingSegment::*part) const {
  const auto count = static_cast<Eigen::Index>(bars.size());
  Eigen::VectorXd piece(count), overhang(count);
  for (Eigen::Index k = 0; k < count; ++k) {
    piece[k] = 2 * (ring.pieces[k].*part);
    overhang[k] = ring.overhang[k].*part;
  }
  Eigen::MatrixXd z = joints.transpose() * overhang.asDiagonal() * joints;
  z.diagonal() += piece;
  return z;
}

void TransientSystem::connect(const Circuits& now) {
  circuits = &now;
  loops = static_cast<int>(now.turns.cols());
  bar0 = loops;
  ring0 = bar0 + static_cast<int>(bars.size());
  size = ring0 + static_cast<int>(bars.size());
  turns.clear();
  for (int l = 0; l < loops; ++l) turns.push_back(combine(system.branch, now.turns.col(l)));
}

std::vector<SparseVector> TransientSystem::border() const {
  std::vector<SparseVector> columns;
  const auto negative = [&](SparseVector v) {
    for (double& value : v.value) value = -value;
    columns.push_back(std::move(v));
  };
  for (const SparseVector& w : turns) negative(w);
  for (const SparseVector& c : shape) negative(c);
  columns.resize(static_cast<size_t>(size));  // rings do not touch the field
  return columns;
}

Eigen::MatrixXd TransientSystem::corner(double tau) const {
  Eigen::MatrixXd d = Eigen::MatrixXd::Zero(size, size);
  d.topLeftCorner(loops, loops) = -(tau * circuits->resistance + circuits->inductance) / whole;
  const auto count = static_cast<Eigen::Index>(bars.size());
  for (Eigen::Index k = 0; k < count; ++k) d(bar0 + k, bar0 + k) = tau * bars[k].conductivity * bars[k].area;
  d.block(bar0, ring0, count, count) = -tau * joints;
  d.block(ring0, bar0, count, count) = -tau * joints.transpose();
  d.block(ring0, ring0, count, count) =
      -(tau * ring_impedance(&RingSegment::resistance) + ring_impedance(&RingSegment::inductance)) /
      system.section.length;
  for (Eigen::Index k = 0; k < count; ++k)
    if (!ring.joined[k]) d(ring0 + k, ring0 + k) = -1;  // no current
  return d;
}

Eigen::VectorXd TransientSystem::corner_source(double tau, double time, const TransientLevel& base) const {
  Eigen::VectorXd g = border_dot(base.a);
  Eigen::VectorXd loop = circuits->inductance * base.circuits.head(loops);
  if (circuits->voltage) loop += tau * circuits->voltage(time);
  g.head(loops) -= loop / whole;
  const auto count = static_cast<Eigen::Index>(bars.size());
  g.segment(ring0, count) -=
      ring_impedance(&RingSegment::inductance) * base.circuits.segment(ring0, count) / system.section.length;
  return g;
}

std::vector<double> TransientSystem::source(double time) const {
  Excitation e;
  if (circuits->fed) e.currents = circuits->fed(time);
  return system.source(e);
}

void TransientSystem::add_border(const Eigen::VectorXd& c, std::vector<double>& y) const {
  for (int l = 0; l < loops; ++l) turns[l].add_to(y, -c[l]);
  for (size_t k = 0; k < shape.size(); ++k) shape[k].add_to(y, -c[bar0 + static_cast<int>(k)]);
}

Eigen::VectorXd TransientSystem::border_dot(const std::vector<double>& x) const {
  Eigen::VectorXd c = Eigen::VectorXd::Zero(size);
  for (int l = 0; l < loops; ++l) c[l] = -turns[l].dot(x);
  for (size_t k = 0; k < shape.size(); ++k) c[bar0 + static_cast<int>(k)] = -shape[k].dot(x);
  return c;
}

Eigen::VectorXd TransientSystem::branch_currents(double time, const Eigen::VectorXd& c) const {
  Eigen::VectorXd i = circuits->turns * c.head(loops);
  if (circuits->fed) {
    const std::vector<double> fed = circuits->fed(time);
    for (size_t b = 0; b < fed.size(); ++b) i[static_cast<Eigen::Index>(b)] += fed[b];
  }
  const auto count = static_cast<Eigen::Index>(bars.size());
  const Eigen::VectorXd own = joints * c.segment(ring0, count);
  for (Eigen::Index k = 0; k < count; ++k) i[bars[k].branch] += own[k];
  return i;
}

double TransientSystem::mass_product(const std::vector<double>& x) const {
  std::vector<double> mx(x.size(), 0.0);
  multiply_symmetric(system.pattern, mass, x, mx);
  double sum = 0;
  for (size_t i = 0; i < x.size(); ++i) sum += x[i] * mx[i];
  return sum;
}

double TransientSystem::mass_reference() const {
  if (options.linkage_scale <= 0 || loops == 0) return 0;
  double turns_of_first = 0;
  for (double value : turns.front().value) turns_of_first += std::abs(value);
  const double a = options.linkage_scale / (whole * turns_of_first);
  return mass_product(std::vector<double>(static_cast<size_t>(system.size()), a));
}

TransientPowers TransientSystem::powers(double time, const TransientLevel& at, const TransientLevel& rate,
                                        const std::vector<double>& force) const {
  TransientPowers p;
  const Eigen::VectorXd j = at.circuits.head(loops), dj = rate.circuits.head(loops);
  if (circuits->voltage) p.source = circuits->voltage(time).dot(j);
  if (circuits->fed) {
    const std::vector<double> fed = circuits->fed(time);
    for (size_t b = 0; b < fed.size(); ++b)
      if (fed[b] != 0) p.source += whole * fed[b] * system.branch[b].dot(rate.a);
  }
  p.copper = j.dot(circuits->resistance * j);
  p.circuit = j.dot(circuits->inductance * dj);
  p.eddy = mass_product(rate.a);
  for (int k = 0; k < static_cast<int>(bars.size()); ++k) {
    const double u = at.circuits[bar0 + k];
    p.eddy += u * (bars[k].conductivity * bars[k].area * u - 2 * shape[k].dot(rate.a));
  }
  const auto count = static_cast<Eigen::Index>(bars.size());
  const Eigen::VectorXd r = at.circuits.segment(ring0, count);
  p.ring = system.section.sectors * r.dot(ring_impedance(&RingSegment::resistance) * r);
  p.circuit +=
      system.section.sectors * r.dot(ring_impedance(&RingSegment::inductance) * rate.circuits.segment(ring0, count));
  p.eddy *= whole;
  for (size_t i = 0; i < force.size(); ++i) p.field += force[i] * rate.a[i];
  p.field = whole * (p.field - system.magnets.dot(rate.a));
  return p;
}

std::vector<double> TransientSystem::eddy_losses(const TransientLevel& at, const TransientLevel& rate) const {
  std::vector<double> u(conductivity.size(), 0.0);
  for (size_t r = 0; r < u.size(); ++r)
    for (size_t k = 0; k < bars.size(); ++k)
      if (system.section.regions[r].branch == bars[k].branch) u[r] = at.circuits[bar0 + static_cast<int>(k)];
  std::vector<double> losses = squares(system, conductivity, u, rate.a);
  for (double& loss : losses) loss *= whole;
  return losses;
}

double TransientSystem::stored(const GapTurn& turn, const TransientLevel& at) const {
  const Eigen::VectorXd j = at.circuits.head(loops);
  double sum = whole * field_energy(system, turn, at.a) + 0.5 * j.dot(circuits->inductance * j);
  const auto count = static_cast<Eigen::Index>(bars.size());
  const Eigen::VectorXd r = at.circuits.segment(ring0, count);
  sum += 0.5 * system.section.sectors * r.dot(ring_impedance(&RingSegment::inductance) * r);
  return sum;
}

}  // namespace polepitch
