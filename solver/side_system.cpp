#include "solver/side_system.h"

#include <algorithm>
#include <map>
#include <set>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

bool belongs(const Mesh& mesh, int triangle, Side side) {
  return (triangle < mesh.stator_triangles) == (side == Side::stator);
}

/// Unknowns of one side, ascending.
std::vector<int> unknowns_of(const FieldSystem& system, Side side) {
  std::set<int> list;
  for (size_t e = 0; e < system.mesh.triangles.size(); ++e)
    if (belongs(system.mesh, static_cast<int>(e), side))
      for (int node : system.mesh.triangles[e])
        if (node >= 0 && system.dofs.unknown[node] >= 0) list.insert(system.dofs.unknown[node]);
  return {list.begin(), list.end()};
}

}  // namespace

SideSystem::SideSystem(const FieldSystem& system, Side side, const std::vector<double>& conductivity,
                       const Eigen::VectorXd& self)
    : own_of_(static_cast<size_t>(system.size()), -1), unknown_of_(unknowns_of(system, side)), lu_(pattern_) {
  for (size_t i = 0; i < unknown_of_.size(); ++i) own_of_[unknown_of_[i]] = static_cast<int>(i);
  const TraceFourier& trace = side == Side::stator ? system.annulus->stator() : system.annulus->rotor();
  for (int unknown : trace.unknowns) trace_.push_back(own_of_[unknown]);
  re_ = trace.re;
  im_ = trace.im;
  take_stiffness(system, self, trace);
  take_mass(system, side, conductivity);
}

/// Pattern of the elements and of the trace's dense block, both triangles.
void SideSystem::take_stiffness(const FieldSystem& system, const Eigen::VectorXd& self, const TraceFourier& trace) {
  std::vector<std::map<int, double>> columns(unknown_of_.size());
  const LowerPattern& lower = system.pattern;
  for (int c = 0; c < lower.size; ++c)
    for (int k = lower.column_start[c]; k < lower.column_start[c + 1]; ++k) {
      const int i = own_of_[lower.row[k]], j = own_of_[c];
      if (i < 0 || j < 0) continue;
      columns[j][i] += system.linear[k];
      if (i != j) columns[i][j] += system.linear[k];
    }
  Eigen::MatrixXd block = trace.re.transpose() * self.asDiagonal() * trace.re;
  block.noalias() += trace.im.transpose() * self.asDiagonal() * trace.im;
  for (Eigen::Index a = 0; a < block.rows(); ++a)
    for (Eigen::Index b = 0; b < block.cols(); ++b) columns[trace_[b]][trace_[a]] += block(a, b);
  pattern_.size = static_cast<int>(columns.size());
  pattern_.start = {0};
  for (const auto& column : columns) {
    for (const auto& [row, value] : column) {
      pattern_.row.push_back(row);
      stiffness_.push_back(value);
    }
    pattern_.start.push_back(static_cast<int>(pattern_.row.size()));
  }
}

int SideSystem::position(int row, int column) const {
  const auto begin = pattern_.row.begin() + pattern_.start[column],
             end = pattern_.row.begin() + pattern_.start[column + 1];
  return static_cast<int>(std::lower_bound(begin, end, row) - pattern_.row.begin());
}

void SideSystem::take_mass(const FieldSystem& system, Side side, const std::vector<double>& conductivity) {
  const Mesh& mesh = system.mesh;
  const int count = mesh.order == 2 ? 6 : 3;
  std::map<int, std::map<std::pair<int, int>, double>> by_region;
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const int r = mesh.region[e];
    if (!belongs(mesh, static_cast<int>(e), side) || conductivity[r] == 0) continue;
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(mesh, static_cast<int>(e), q.at);
      for (int i = 0; i < count; ++i)
        for (int j = 0; j < count; ++j) {
          const int a = mesh.triangles[e][i], b = mesh.triangles[e][j];
          const int u = system.dofs.unknown[a], v = system.dofs.unknown[b];
          if (u < 0 || v < 0) continue;
          by_region[r][{own_of_[u], own_of_[v]}] +=
              system.dofs.sign[a] * system.dofs.sign[b] * q.weight * p.jacobian * p.value[i] * p.value[j];
        }
    }
  }
  for (const auto& [region, entries] : by_region) {
    Mass& mass = masses_.emplace_back(Mass{region, conductivity[region], {}, {}, {}});
    for (const auto& [at, value] : entries) {
      mass.row.push_back(at.first);
      mass.column.push_back(at.second);
      mass.value.push_back(value);
    }
  }
}

void SideSystem::factorise(double omega) {
  std::vector<Complex> values(stiffness_.begin(), stiffness_.end());
  for (const Mass& mass : masses_)
    for (size_t k = 0; k < mass.value.size(); ++k)
      values[position(mass.row[k], mass.column[k])] += Complex{0, omega * mass.conductivity * mass.value[k]};
  lu_.factorise(values);
}

Eigen::VectorXcd SideSystem::solve(const Eigen::VectorXcd& right) const {
  const std::vector<Complex> x = lu_.solve({right.data(), static_cast<size_t>(right.size())});
  return Eigen::Map<const Eigen::VectorXcd>(x.data(), right.size());
}

Eigen::VectorXcd SideSystem::gather(const std::vector<Complex>& unknowns) const {
  Eigen::VectorXcd own(size());
  for (int i = 0; i < size(); ++i) own[i] = unknowns[unknown_of_[i]];
  return own;
}

void SideSystem::scatter(const Eigen::VectorXcd& own, std::vector<Complex>& unknowns) const {
  for (int i = 0; i < size(); ++i) unknowns[unknown_of_[i]] = own[i];
}

// With the real map u = (re + j im) x of a real field, a complex one has the backward wave (re + j im) x and the
// forward one (re − j im) x.
Waves SideSystem::waves(const Eigen::VectorXcd& own) const {
  Eigen::VectorXcd local(static_cast<Eigen::Index>(trace_.size()));
  for (size_t k = 0; k < trace_.size(); ++k) local[static_cast<Eigen::Index>(k)] = own[trace_[k]];
  const Eigen::VectorXcd even = re_.cast<Complex>() * local, odd = Complex{0, 1} * (im_.cast<Complex>() * local);
  Waves result(2 * re_.rows());
  result << even - odd, even + odd;
  return result;
}

Eigen::VectorXcd SideSystem::wave_source(int k) const {
  const Eigen::Index n = re_.rows();
  const double sense = k < n ? 1 : -1;
  Eigen::VectorXcd right = Eigen::VectorXcd::Zero(size());
  for (size_t i = 0; i < trace_.size(); ++i) {
    const auto column = static_cast<Eigen::Index>(i);
    right[trace_[i]] = 0.5 * Complex{re_(k % n, column), sense * im_(k % n, column)};
  }
  return right;
}

void SideSystem::add_loss(const Eigen::VectorXcd& own, double omega, std::vector<double>& loss) const {
  for (const Mass& mass : masses_) {
    double sum = 0;
    for (size_t k = 0; k < mass.value.size(); ++k)
      sum += mass.value[k] * std::real(std::conj(own[mass.row[k]]) * own[mass.column[k]]);
    loss[mass.region] += 0.5 * mass.conductivity * omega * omega * sum;
  }
}

}  // namespace polepitch
