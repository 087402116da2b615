#include "solver/cage_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "solver/cage_system.h"
#include "solver/gmres.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr Complex j{0, 1};
constexpr double kForcing = 0.01;    // of the residual: a step's own accuracy where GMRES finds it
constexpr int kMostIterations = 15;  // beyond, another factor is cheaper (measured)

}  // namespace

struct CageField::Impl : CageSystem {
  using CageSystem::CageSystem;
  struct Iterate {
    std::vector<Complex> x, r;
    double left;  // of the residual, relative to the sources
    bool whole;   // a step that was not shortened: bars, rings, supply and waves are linear, and then hold
  };
  double residual(const CageExcitation& e, const std::vector<Complex>& x, std::vector<Complex>& r);
  bool take_step(const CageExcitation& e, const std::vector<Complex>& change, bool first, Iterate& at);
  bool solve_nearby(const std::vector<Complex>& r, std::vector<Complex>& change, int& iterations) const;
  void newton(const CageExcitation& e, std::vector<Complex>& x, double tolerance, CageSolution& solution);
  void grow(const CageExcitation& e, std::vector<Complex>& x, CageSolution& solution);
  double bar_loss(const CageExcitation& e, const std::vector<Complex>& x) const;
  void read_off(const std::vector<Complex>& x, CageSolution& solution) const;
};

/// r = A(x) − supply; its size over the fields, relative to the winding's source.
double CageField::Impl::residual(const CageExcitation& e, const std::vector<Complex>& x, std::vector<Complex>& r) {
  r = matrix->multiply(linear, x);
  r[phase] -= e.supply;
  add_elements(x, &r, false);
  double sum = 0, source = 0;
  for (int i = 0; i < fields; ++i) sum += std::norm(r[i]);
  for (const auto& [u, value] : winding) source += std::norm(value * x[phase]);
  return std::sqrt(sum) / std::max(std::sqrt(source), 1e-300);
}

/// The largest half, quarter … of a step that comes nearer; false where none does, and x stays as it is.
bool CageField::Impl::take_step(const CageExcitation& e, const std::vector<Complex>& change, bool first, Iterate& at) {
  for (double share = 1; share > 1e-3; share *= 0.5) {
    std::vector<Complex> trial = at.x, r;
    for (int i = 0; i < size; ++i) trial[i] -= share * change[i];
    const double now = residual(e, trial, r);
    if (!(now < at.left) && !first) continue;  // the first step sets the linear rows right, whatever iron says
    at.x = std::move(trial);
    at.r = std::move(r);
    at.left = now;
    at.whole = at.whole || share == 1;
    return true;
  }
  return false;
}

/// The tangent's answer to r by GMRES behind the factor of an earlier tangent at the same slip. Both differ in iron
/// alone: once the factor has answered, nothing is left in the rows of bars, rings, supply and waves, whatever their
/// units.
bool CageField::Impl::solve_nearby(const std::vector<Complex>& r, std::vector<Complex>& change, int& iterations) const {
  double square = 0;
  for (int i = 0; i < fields; ++i) square += std::norm(r[i]);
  change = matrix->solve(r);
  std::vector<Complex> left = matrix->multiply(change), more;
  for (size_t i = 0; i < left.size(); ++i) left[i] = static_cast<int>(i) < fields ? r[i] - left[i] : 0.0;
  const auto product = [this](const ComplexVector& v) { return matrix->multiply(v); };
  const auto factor = [this, &iterations](const ComplexVector& v) {
    ++iterations;
    return matrix->solve(v);
  };
  if (!gmres(product, factor, left, kForcing * std::sqrt(square), kMostIterations, more)) return false;
  for (size_t i = 0; i < change.size(); ++i) change[i] += more[i];
  return true;
}

void CageField::Impl::newton(const CageExcitation& e, std::vector<Complex>& x, double tolerance,
                             CageSolution& solution) {
  set_linear(e);
  Iterate at{x, {}, 0, false};
  at.left = residual(e, at.x, at.r);
  bool direct = true;  // by a factor of this very tangent
  for (int step = 0; step < system.options.max_steps; ++step) {
    matrix->blocks() = linear;
    add_elements(at.x, nullptr, true);
    std::vector<Complex> change;
    if (direct || !solve_nearby(at.r, change, solution.iterations)) {
      direct = true;
      matrix->factorise();
      ++solution.factorisations;
      change = matrix->solve(at.r);
    }
    const bool taken = take_step(e, change, step == 0, at);
    if (!taken && direct) break;
    direct = !taken;
    ++solution.newton_steps;
    solution.residuals.push_back(at.left);
    if (at.left < tolerance && at.whole) {
      x = at.x;
      return;
    }
  }
  throw ConvergenceError(
      fmt::format("the field at slip {:.5g} does not converge: {:.1e} of the sources is left after {} "
                  "steps",
                  e.slip, at.left, solution.newton_steps),
      "a lower voltage or current, or slips in smaller steps, may be found");
}

/// From nothing the voltage or current grows in steps, which leads iron into saturation gently.
void CageField::Impl::grow(const CageExcitation& e, std::vector<Complex>& x, CageSolution& solution) {
  for (double share : {0.02, 0.1, 0.3, 1.0}) {
    CageExcitation part = e;
    part.supply *= share;
    newton(part, x, share < 1 ? 1e-3 : system.options.tolerance, solution);
  }
}

double CageField::Impl::bar_loss(const CageExcitation& e, const std::vector<Complex>& x) const {
  const double rotor = e.slip * e.omega;
  double sum = 0;
  for (size_t k = 0; k < bars.size(); ++k) {
    // ½ σ ∫|u − jω_r A|² = ½ σ (|u|² S − 2 Re(u* jω_r ∫A) + ω_r² ∫|A|²)
    const Complex u = x[bar0 + static_cast<int>(k)];
    double square = 0;
    Complex mean = 0;
    for (const auto& [at, value] : bars[k].mass) square += value * std::real(std::conj(x[at.first]) * x[at.second]);
    for (const auto& [i, value] : bars[k].shape) mean += value * x[i];
    sum += 0.5 * bars[k].conductivity *
           (std::norm(u) * bars[k].area - 2 * std::real(std::conj(u) * j * rotor * mean) + rotor * rotor * square);
  }
  return sum * system.section.sectors * system.section.length;
}

void CageField::Impl::read_off(const std::vector<Complex>& x, CageSolution& s) const {
  const Section& section = system.section;
  const CageExcitation& e = s.excitation;
  const int count = static_cast<int>(bars.size());
  s.a.resize(system.mesh.nodes.size());
  for (size_t i = 0; i < s.a.size(); ++i)
    if (const int u = system.dofs.unknown[i]; u >= 0) s.a[i] = system.dofs.sign[i] * x[u];
  s.current = x[phase];
  for (const auto& [u, value] : winding) s.linkage += std::conj(value) * x[u];
  s.linkage *= section.sectors * section.length / static_cast<double>(phases);
  s.voltage = (e.resistance + j * (e.omega * e.end_inductance)) * s.current + j * e.omega * s.linkage;
  for (int k = 0; k < count; ++k) {
    const Complex before = (k == 0 ? section.sign : 1.0) * x[ring0 + (k + count - 1) % count];
    s.bars.push_back(x[ring0 + k] - before);
    s.ring_loss += ring.resistance * std::norm(x[ring0 + k]) * section.sectors;  // two rings, ½ each
  }
  s.bar_loss = bar_loss(e, x);
  s.outer = x[wave0];
  s.inner = x[wave0 + 1];
  s.torque = -0.25 * section.sectors * section.length * section.pole_pairs *
             std::imag(std::conj(s.outer) * to_stator * s.inner);
}

CageField::CageField(const Section& section, const Mesh& mesh, const Materials& materials, const RingSegment& ring,
                     const SolverOptions& options)
    : impl_(std::make_unique<Impl>(section, mesh, materials, ring, options)) {}
CageField::~CageField() = default;
CageField::CageField(CageField&&) noexcept = default;

const Section& CageField::section() const {
  return impl_->system.section;
}

int CageField::unknowns() const {
  return impl_->size;
}

StaticSolution CageField::instant(const CageSolution& solution) const {
  StaticSolution now;
  for (const Complex& a : solution.a) now.a.push_back(a.real());
  now.gap = impl_->system.annulus->field(impl_->system.gather(now.a), 0);
  // The unknowns are twice the wave Re(c e^{j(ωt − pθ)}), whose conjugate stands at e^{jpθ} when t = 0.
  now.gap.harmonics = {{section().pole_pairs, 0.5 * std::conj(solution.outer), 0.5 * std::conj(solution.inner)}};
  now.newton_steps = solution.newton_steps;
  return now;
}

CageSolution CageField::solve(const CageExcitation& excitation, const CageSolution* start) {
  Impl& m = *impl_;
  CageSolution solution;
  solution.excitation = excitation;
  std::vector<Complex> x(static_cast<size_t>(m.size));
  if (start != nullptr) {
    for (size_t n = 0; n < start->a.size(); ++n)
      if (const int u = m.system.dofs.unknown[n]; u >= 0) x[u] = m.system.dofs.sign[n] * start->a[n];
    x[m.phase] = start->current;
    x[m.wave0] = start->outer, x[m.wave0 + 1] = start->inner;
  }
  if (start != nullptr)
    m.newton(excitation, x, m.system.options.tolerance, solution);
  else
    m.grow(excitation, x, solution);
  m.read_off(x, solution);
  return solution;
}

}  // namespace polepitch
