#include "solver/standstill_field.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <map>

#include "solver/coupled_cholesky.h"
#include "solver/iron_force.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double kDependent = 1e-8;  // of a field, in energy norm: what is left once the former ones are taken out

/// Places between those of the former level, equally spaced over the logarithm; level 0: one a decade, ends included.
std::vector<double> new_shifts(double lowest, double highest, int level) {
  const int decades = std::max(1, static_cast<int>(std::ceil(std::log10(highest / lowest) - 1e-9)));
  const int steps = decades << level;
  std::vector<double> shifts;
  for (int k = 0; k <= steps; ++k)
    if (level == 0 || k % 2 == 1) shifts.push_back(lowest * std::pow(highest / lowest, static_cast<double>(k) / steps));
  if (level == 0) shifts.insert(shifts.begin(), 0.0);
  return shifts;
}

double largest_change(const StandstillModes& former, const StandstillModes& now, double lowest, double highest) {
  double worst = 0;
  constexpr int kPoints = 25;
  const auto n = static_cast<size_t>(now.inputs);
  for (int k = 0; k < kPoints; ++k) {
    const Complex s{0, lowest * std::pow(highest / lowest, static_cast<double>(k) / (kPoints - 1))};
    const std::vector<Complex> a = former.at(s), b = now.at(s);
    for (size_t i = 0; i < n; ++i)
      for (size_t j = 0; j <= i; ++j)
        worst = std::max(
            worst, std::abs(a[i * n + j] - b[i * n + j]) / std::sqrt(std::abs(b[i * n + i]) * std::abs(b[j * n + j])));
  }
  return worst;
}

/// Fields orthonormal in energy, K applied to each beside.
struct Basis {
  std::vector<Eigen::VectorXd> v, kv;

  template <class Product>
  void add(Eigen::VectorXd x, const Product& product) {
    double size = std::sqrt(std::max(0.0, x.dot(product(x))));
    if (!(size > 0)) return;
    x /= size;
    for (int pass = 0; pass < 2; ++pass)
      for (size_t k = 0; k < v.size(); ++k) x -= kv[k].dot(x) * v[k];
    Eigen::VectorXd image = product(x);
    size = std::sqrt(std::max(0.0, x.dot(image)));
    if (size < kDependent) return;
    v.push_back(x / size);
    kv.push_back(image / size);
  }
};

}  // namespace

std::vector<Complex> StandstillModes::at(Complex s) const {
  const auto n = static_cast<size_t>(inputs);
  std::vector<Complex> h(n * n);
  for (size_t m = 0; m < tau.size(); ++m) {
    const Complex weight = 1.0 / (1.0 + s * tau[m]);
    const double* row = &shape[m * n];
    for (size_t i = 0; i < n; ++i)
      for (size_t j = 0; j < n; ++j) h[i * n + j] += weight * (row[i] * row[j]);
  }
  return h;
}

struct StandstillField::Impl {
  FieldSystem system;
  CoupledCholesky cholesky;
  GapTurn turn;
  std::vector<double> stiffness, mass;  // of the system's pattern, the annulus in neither

  Impl(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options)
      : system(section, mesh, materials, options), cholesky(system.pattern, *system.annulus) {}

  void linearise(const StaticSolution& state);
  void take_mass(const std::vector<double>& conductivity);
  Eigen::VectorXd multiply(const Eigen::VectorXd& x) const;
  Eigen::VectorXd multiply_mass(const Eigen::VectorXd& x) const;
  Eigen::MatrixXd patterns(const StandstillRequest& request, StandstillModes& modes) const;
  void add_shift(double shift, const Eigen::MatrixXd& patterns, Basis& basis);
  void project(const Basis& basis, const Eigen::MatrixXd& patterns, StandstillModes& modes) const;
};

void StandstillField::Impl::linearise(const StaticSolution& state) {
  turn = system.annulus->turn(state.rotor_angle);
  std::vector<double> x(static_cast<size_t>(system.size()), 0.0), force = x;
  if (!state.a.empty()) x = system.gather(state.a);
  stiffness = system.linear;
  add_iron_stiffness(system, x, false, force, stiffness);
}

void StandstillField::Impl::take_mass(const std::vector<double>& conductivity) {
  const Mesh& mesh = system.mesh;
  const int count = mesh.order == 2 ? 6 : 3;
  mass.assign(system.pattern.row.size(), 0.0);
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const double sigma = conductivity[mesh.region[e]];
    if (sigma == 0) continue;
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(mesh, static_cast<int>(e), q.at);
      for (int i = 0; i < count; ++i)
        for (int j = 0; j < count; ++j) {
          const int a = mesh.triangles[e][i], b = mesh.triangles[e][j];
          const int u = system.dofs.unknown[a], v = system.dofs.unknown[b];
          if (u < 0 || v < 0 || u < v) continue;
          mass[system.pattern.position(u, v)] +=
              system.dofs.sign[a] * system.dofs.sign[b] * sigma * q.weight * p.jacobian * p.value[i] * p.value[j];
        }
    }
  }
}

Eigen::VectorXd StandstillField::Impl::multiply(const Eigen::VectorXd& x) const {
  const std::vector<double> in(x.data(), x.data() + x.size());
  std::vector<double> out(in.size(), 0.0);
  multiply_symmetric(system.pattern, stiffness, in, out);
  system.annulus->add_force(turn, in, out);
  return Eigen::Map<const Eigen::VectorXd>(out.data(), x.size());
}

Eigen::VectorXd StandstillField::Impl::multiply_mass(const Eigen::VectorXd& x) const {
  const std::vector<double> in(x.data(), x.data() + x.size());
  std::vector<double> out(in.size(), 0.0);
  multiply_symmetric(system.pattern, mass, in, out);
  return Eigen::Map<const Eigen::VectorXd>(out.data(), x.size());
}

/// One column a source, then one a bar.
Eigen::MatrixXd StandstillField::Impl::patterns(const StandstillRequest& request, StandstillModes& modes) const {
  const Section& section = system.section;
  for (size_t r = 0; r < section.regions.size(); ++r) {
    const int b = section.regions[r].branch;
    if (b < 0 || request.conductivity[r] == 0) continue;
    modes.bar_branch.push_back(b);
    modes.bar_conductance.push_back(request.conductivity[r] * system.area[r]);
  }
  const auto sources = static_cast<Eigen::Index>(request.sources.size());
  Eigen::MatrixXd columns =
      Eigen::MatrixXd::Zero(system.size(), sources + static_cast<Eigen::Index>(modes.bar_branch.size()));
  const auto add = [&](Eigen::Index column, int branch, double scale) {
    const SparseVector& v = system.branch[branch];
    for (size_t k = 0; k < v.index.size(); ++k) columns(v.index[k], column) += scale * v.value[k];
  };
  for (Eigen::Index k = 0; k < sources; ++k)
    for (size_t b = 0; b < request.sources[k].size(); ++b)
      if (request.sources[k][b] != 0) add(k, static_cast<int>(b), request.sources[k][b]);
  for (size_t k = 0; k < modes.bar_branch.size(); ++k)  // a bar's own pattern is the mean over its area
    add(sources + static_cast<Eigen::Index>(k), modes.bar_branch[k], modes.bar_conductance[k]);
  return columns;
}

void StandstillField::Impl::add_shift(double shift, const Eigen::MatrixXd& patterns, Basis& basis) {
  std::vector<double> values = stiffness;
  for (size_t k = 0; k < values.size(); ++k) values[k] += shift * mass[k];
  if (!cholesky.factorise(values, turn)) throw ConvergenceError("the field's matrix is not positive definite");
  Eigen::VectorXd x(patterns.rows());
  for (Eigen::Index k = 0; k < patterns.cols(); ++k) {
    cholesky.solve({patterns.col(k).data(), static_cast<size_t>(patterns.rows())},
                   {x.data(), static_cast<size_t>(x.size())});
    basis.add(x, [this](const Eigen::VectorXd& v) { return multiply(v); });
  }
}

/// In the basis K is the unit matrix: the eigenvalues of M are the relaxation times.
void StandstillField::Impl::project(const Basis& basis, const Eigen::MatrixXd& patterns, StandstillModes& modes) const {
  const auto count = static_cast<Eigen::Index>(basis.v.size());
  Eigen::MatrixXd v(patterns.rows(), count), mv(patterns.rows(), count);
  for (Eigen::Index k = 0; k < count; ++k) {
    v.col(k) = basis.v[k];
    mv.col(k) = multiply_mass(basis.v[k]);
  }
  const Eigen::MatrixXd reduced = v.transpose() * mv;
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(0.5 * (reduced + reduced.transpose()));
  modes.tau.clear();
  for (double tau : eigen.eigenvalues()) modes.tau.push_back(std::max(0.0, tau));
  const Eigen::MatrixXd fields = v * eigen.eigenvectors(), shape = patterns.transpose() * fields;  // by columns: modes
  modes.inputs = static_cast<int>(patterns.cols());
  modes.fields.assign(fields.data(), fields.data() + fields.size());
  modes.shape.assign(shape.data(), shape.data() + shape.size());
}

StandstillField::StandstillField(const Section& section, const Mesh& mesh, const Materials& materials,
                                 const SolverOptions& options)
    : impl_(std::make_unique<Impl>(section, mesh, materials, options)) {}
StandstillField::~StandstillField() = default;
StandstillField::StandstillField(StandstillField&&) noexcept = default;

StandstillModes StandstillField::solve(const StaticSolution& state, const StandstillRequest& request) {
  Impl& m = *impl_;
  m.linearise(state);
  m.take_mass(request.conductivity);
  StandstillModes modes;
  const Eigen::MatrixXd patterns = m.patterns(request, modes);
  Basis basis;
  for (int level = 0; level < request.most_levels; ++level) {
    for (double shift : new_shifts(request.lowest, request.highest, level)) {
      m.add_shift(shift, patterns, basis);
      ++modes.factorisations;
    }
    const StandstillModes former = modes;
    m.project(basis, patterns, modes);
    if (level == 0) continue;
    modes.change = largest_change(former, modes, request.lowest, request.highest);
    if (modes.change < request.tolerance) break;
  }
  return modes;
}

std::vector<Complex> StandstillField::potential(const StandstillModes& modes, Complex s,
                                                const std::vector<Complex>& input) const {
  const FieldSystem& system = impl_->system;
  const auto unknowns = static_cast<size_t>(system.size()), inputs = input.size();
  std::vector<Complex> x(unknowns);
  for (size_t m = 0; m < modes.tau.size(); ++m) {
    Complex weight = 0;
    for (size_t i = 0; i < inputs; ++i) weight += modes.shape[m * inputs + i] * input[i];
    weight /= 1.0 + s * modes.tau[m];
    for (size_t u = 0; u < unknowns; ++u) x[u] += weight * modes.fields[m * unknowns + u];
  }
  std::vector<Complex> nodal(system.mesh.nodes.size());
  for (size_t n = 0; n < nodal.size(); ++n)
    if (const int u = system.dofs.unknown[n]; u >= 0) nodal[n] = system.dofs.sign[n] * x[u];
  return nodal;
}

std::vector<double> StandstillField::losses(const StandstillModes& modes, const std::vector<Complex>& potential,
                                            double omega, const std::vector<double>& conductivity,
                                            const std::vector<Complex>& gradient) const {
  const FieldSystem& system = impl_->system;
  const Mesh& mesh = system.mesh;
  const int count = mesh.order == 2 ? 6 : 3;
  const double whole = system.section.sectors * system.section.length;
  std::map<int, Complex> own;  // by branch
  for (size_t k = 0; k < modes.bar_branch.size(); ++k) own[modes.bar_branch[k]] = gradient[k];
  std::vector<double> losses(mesh.triangles.size(), 0.0);
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const int r = mesh.region[e];
    if (conductivity[r] == 0) continue;
    const auto it = own.find(system.section.regions[r].branch);
    const Complex u = it == own.end() ? Complex{0} : it->second;
    for (const QuadraturePoint& q : kTriangleRule) {
      const ElementPoint p = element_point(mesh, static_cast<int>(e), q.at);
      Complex a = 0;
      for (int i = 0; i < count; ++i) a += p.value[i] * potential[mesh.triangles[e][i]];
      losses[e] += 0.5 * whole * conductivity[r] * q.weight * p.jacobian * std::norm(u - Complex{0, omega} * a);
    }
  }
  return losses;
}

}  // namespace polepitch
