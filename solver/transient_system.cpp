#include "solver/transient_system.h"

#include <algorithm>

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
  std::stable_sort(bars.begin(), bars.end(), [&](const BarIntegrals& p, const BarIntegrals& q) {
    return section.branches[p.branch].angle < section.branches[q.branch].angle;
  });
  if (ring.pieces.size() != bars.size() || ring.joined.size() != bars.size())
    throw InputError("the rings have " + std::to_string(ring.pieces.size()) + " pieces for " +
                     std::to_string(bars.size()) + " bars");
  conductivity = options.conductivity;
  conductivity.resize(section.regions.size(), 0.0);
  for (size_t r = 0; r < section.regions.size(); ++r)
    for (const BarIntegrals& bar : bars)
      if (section.regions[r].branch == bar.branch) conductivity[r] = bar.conductivity;
  mass = mass_values(system, conductivity);
  for (const BarIntegrals& bar : bars) shape.push_back(scaled(bar.shape, bar.conductivity));
  whole = section.sectors * section.length;
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
  for (int k = 0; k < static_cast<int>(bars.size()); ++k) {
    const int u = bar0 + k, r = ring0 + k, after = bar0 + next(k);
    d(u, u) = tau * bars[k].conductivity * bars[k].area;
    if (!ring.joined[k]) {
      d(r, r) = -1;  // no current
      continue;
    }
    d(u, r) -= tau, d(r, u) -= tau;
    d(after, r) += tau * wrap(k), d(r, after) += tau * wrap(k);
    d(r, r) = -2 / system.section.length * (tau * ring.pieces[k].resistance + ring.pieces[k].inductance);
  }
  return d;
}

Eigen::VectorXd TransientSystem::corner_source(double tau, double time, const TransientLevel& base) const {
  Eigen::VectorXd g = border_dot(base.a);
  Eigen::VectorXd loop = circuits->inductance * base.circuits.head(loops);
  if (circuits->voltage) loop += tau * circuits->voltage(time);
  g.head(loops) -= loop / whole;
  for (int k = 0; k < static_cast<int>(bars.size()); ++k)
    if (ring.joined[k])
      g[ring0 + k] -= 2 / system.section.length * ring.pieces[k].inductance * base.circuits[ring0 + k];
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
  const int count = static_cast<int>(bars.size());
  for (int k = 0; k < count; ++k) {
    i[bars[k].branch] += c[ring0 + k];
    i[bars[next(k)].branch] -= wrap(k) * c[ring0 + k];
  }
  return i;
}

double TransientSystem::mass_product(const std::vector<double>& x) const {
  std::vector<double> mx(x.size(), 0.0);
  multiply_symmetric(system.pattern, mass, x, mx);
  double sum = 0;
  for (size_t i = 0; i < x.size(); ++i) sum += x[i] * mx[i];
  return sum;
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
    const double u = at.circuits[bar0 + k], r = at.circuits[ring0 + k];
    p.eddy += u * (bars[k].conductivity * bars[k].area * u - 2 * shape[k].dot(rate.a));
    p.ring += 2 * system.section.sectors * ring.pieces[k].resistance * r * r;
    p.circuit += 2 * system.section.sectors * ring.pieces[k].inductance * r * rate.circuits[ring0 + k];
  }
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
  for (int k = 0; k < static_cast<int>(bars.size()); ++k)
    sum += system.section.sectors * ring.pieces[k].inductance * at.circuits[ring0 + k] * at.circuits[ring0 + k];
  return sum;
}

}  // namespace polepitch
