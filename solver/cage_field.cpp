#include "solver/cage_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "solver/cage_factor.h"
#include "solver/cage_system.h"
#include "solver/gmres.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr Complex j{0, 1};
constexpr double kForcing = 0.01;    // of the residual: a step's own accuracy where GMRES finds it, at most
constexpr int kMostIterations = 15;  // beyond, another factor is cheaper (measured)
constexpr int kRenew = 8;            // iterations after which the next step takes a factor of its own (measured)

}  // namespace

struct CageField::Impl : CageSystem {
  using CageSystem::CageSystem;
  struct Iterate {
    std::vector<Complex> x, r;
    double left;  // of the residual, relative to the sources
    bool whole;   // a step that was not shortened: bars, rings, supply and waves are linear, and then hold
  };
  using Precondition = std::function<std::vector<Complex>(const std::vector<Complex>&)>;
  std::unique_ptr<CageFactor> near = circuits.solids.empty() ? std::make_unique<CageFactor>(*this) : nullptr;
  bool near_holds = false;  // a factor, of this solution or of a neighbour's
  double residual(const CageExcitation& e, const std::vector<Complex>& x, std::vector<Complex>& r);
  bool take_step(const CageExcitation& e, const std::vector<Complex>& change, bool first, Iterate& at);
  double forcing = kForcing;
  bool solve_behind(const Precondition& factor, const std::vector<Complex>& r, std::vector<Complex>& change,
                    int& iterations) const;
  bool renew_near(CageSolution& solution);
  bool solve_near(const std::vector<Complex>& r, bool first, std::vector<Complex>& change, CageSolution& solution);
  void newton(const CageExcitation& e, std::vector<Complex>& x, double tolerance, CageSolution& solution);
  void grow(const CageExcitation& e, std::vector<Complex>& x, CageSolution& solution);
  void approach(const CageExcitation& e, bool started, std::vector<Complex>& x, CageSolution& solution);
  double loss(const BarIntegrals& c, int slice, Complex voltage, double rotor, const std::vector<Complex>& x) const;
  void read_losses(const std::vector<Complex>& x, CageSolution& solution) const;
  void read_winding(int side, const std::vector<Complex>& x, CageSolution& solution) const;
  void read_off(const std::vector<Complex>& x, CageSolution& solution) const;
};

/// r = A(x) − supply, and the tangent there; the size of r over the fields, relative to the winding's source.
double CageField::Impl::residual(const CageExcitation& e, const std::vector<Complex>& x, std::vector<Complex>& r) {
  r = matrix->multiply(linear, x);
  r[phase[0]] -= e.supply;
  matrix->blocks() = linear;
  add_elements(x, r);
  double sum = 0, source = 0;
  for (int i = 0; i < fields; ++i) sum += std::norm(r[i]);
  for (int side : {0, 1})
    for (const auto& [u, value] : circuits.winding[side].source) source += std::norm(value * x[phase[side]]);
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

/// The tangent's answer to r by GMRES behind a factor that differs from it in the fields' rows alone: once the factor
/// has answered, nothing is left in the rows of bars, rings, supply and waves, whatever their units.
bool CageField::Impl::solve_behind(const Precondition& factor, const std::vector<Complex>& r,
                                   std::vector<Complex>& change, int& iterations) const {
  double square = 0;
  for (int i = 0; i < fields; ++i) square += std::norm(r[i]);
  change = factor(r);
  std::vector<Complex> left = matrix->multiply(change), more;
  for (size_t i = 0; i < left.size(); ++i) left[i] = static_cast<int>(i) < fields ? r[i] - left[i] : 0.0;
  const auto product = [this](const ComplexVector& v) { return matrix->multiply(v); };
  const auto counted = [&](const ComplexVector& v) {
    ++iterations;
    return factor(v);
  };
  if (!gmres(product, counted, left, forcing * std::sqrt(square), kMostIterations, more)) return false;
  for (size_t i = 0; i < change.size(); ++i) change[i] += more[i];
  return true;
}

bool CageField::Impl::renew_near(CageSolution& solution) {
  near_holds = near->factorise() && near->set_circuits();
  ++solution.factorisations;
  return near_holds;
}

/// By the Cholesky factor at hand where it serves, else by one of this very tangent. False where that does not serve
/// either: conductors with much skin effect.
bool CageField::Impl::solve_near(const std::vector<Complex>& r, bool renew, std::vector<Complex>& change,
                                 CageSolution& solution) {
  const auto factor = [this](const ComplexVector& v) { return near->solve(v); };
  if (!renew && near_holds && solve_behind(factor, r, change, solution.iterations)) return true;
  return renew_near(solution) && solve_behind(factor, r, change, solution.iterations);
}

/// Steps behind the Cholesky factor as long as they serve, then by a factor of the whole tangent where the iteration
/// stands, and GMRES behind that one.
void CageField::Impl::newton(const CageExcitation& e, std::vector<Complex>& x, double tolerance,
                             CageSolution& solution) {
  set_linear(e);
  if (near_holds) near_holds = near->set_circuits();
  Iterate at{x, {}, 0, false};
  at.left = residual(e, at.x, at.r);
  const Precondition whole = [this](const ComplexVector& v) { return matrix->solve(v); };
  bool by_near = near != nullptr, renew = false, direct = true;
  for (int step = 0; step < system.options.max_steps; ++step) {
    // What Newton's own error leaves of the residual, and no less than is asked for.
    forcing = std::clamp(std::max(at.left, 0.3 * tolerance / at.left), 1e-4, kForcing);
    std::vector<Complex> change;
    const int before = solution.iterations;
    if (by_near) by_near = solve_near(at.r, renew, change, solution);
    renew = solution.iterations - before > kRenew;
    if (!by_near && (direct || !solve_behind(whole, at.r, change, solution.iterations))) {
      direct = true;
      matrix->factorise();
      ++solution.factorisations;
      change = matrix->solve(at.r);
    }
    const bool taken = take_step(e, change, step == 0, at);
    if (!taken && direct && !by_near) break;
    if (!taken) at.left = residual(e, at.x, at.r);  // and its tangent
    if (by_near)
      by_near = taken;
    else
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

/// From the start where there is one; from nothing where it leads nowhere.
void CageField::Impl::approach(const CageExcitation& e, bool started, std::vector<Complex>& x, CageSolution& solution) {
  if (started) try {
      newton(e, x, system.options.tolerance, solution);
      return;
    } catch (const ConvergenceError&) {
      near_holds = false;
      std::fill(x.begin(), x.end(), Complex{});
    }
  grow(e, x, solution);
}

/// ½ σ ∫|v − jω_r A|² = ½ σ (|v|² S − 2 Re(v* jω_r ∫A) + ω_r² ∫|A|²) [W/m] of one conductor in one slice.
double CageField::Impl::loss(const BarIntegrals& c, int slice, Complex voltage, double rotor,
                             const std::vector<Complex>& x) const {
  const int from = slice * per_slice;
  double square = 0;
  Complex mean = 0;
  for (const auto& [at, value] : c.mass)
    square += value * std::real(std::conj(x[from + at.first]) * x[from + at.second]);
  for (const auto& [i, value] : c.shape) mean += value * x[from + i];
  return 0.5 * c.conductivity *
         (std::norm(voltage) * c.area - 2 * std::real(std::conj(voltage) * j * rotor * mean) + rotor * rotor * square);
}

void CageField::Impl::read_losses(const std::vector<Complex>& x, CageSolution& s) const {
  const double rotor = s.excitation.slip * s.excitation.omega, sectors = system.section.sectors;
  const double whole = sectors * system.section.length;
  for (int k = 0; k < bars(); ++k) {
    s.bar_loss += 0.5 * sectors * circuits.overhang[static_cast<size_t>(k)].resistance * std::norm(x[current0 + k]);
    s.bars.push_back(x[current0 + k]);
    s.bar_voltages.emplace_back();
  }
  for (int slice = 0; slice < slices(); ++slice) {
    const double weight = cage.slices[static_cast<size_t>(slice)].weight;
    for (int k = 0; k < bars(); ++k) {
      const Complex v = x[voltage(slice, k)];
      s.bar_loss += weight * whole * loss(circuits.bars[static_cast<size_t>(k)], slice, v, rotor, x);
      s.bar_voltages[static_cast<size_t>(k)] += weight * v;
    }
    for (const BarIntegrals& solid : circuits.solids) s.solid_loss += weight * whole * loss(solid, slice, 0, rotor, x);
  }
  int node = ring0;
  for (const RingNetwork& network : circuits.networks)
    for (size_t q = 0; q < network.nodes.size(); ++q)
      s.ring_loss += network.segment.resistance * std::norm(x[node++]) * sectors;  // two rings, ½ each
  if (wound())
    s.rotor_copper = 0.5 * circuits.winding[1].phases * s.excitation.rotor_resistance * std::norm(x[phase[1]]);
}

void CageField::Impl::read_winding(int side, const std::vector<Complex>& x, CageSolution& s) const {
  Complex& linkage = side == 0 ? s.linkage : s.rotor_linkage;
  for (int slice = 0; slice < slices(); ++slice)
    for (const auto& [u, value] : circuits.winding[side].source)
      linkage +=
          cage.slices[static_cast<size_t>(slice)].weight * share(side) * std::conj(value) * x[slice * per_slice + u];
  if (side == 0 || wound()) (side == 0 ? s.current : s.rotor_current) = x[phase[side]];
}

void CageField::Impl::read_off(const std::vector<Complex>& x, CageSolution& s) const {
  const CageExcitation& e = s.excitation;
  const size_t nodes = system.mesh.nodes.size();
  s.a.resize(nodes * static_cast<size_t>(slices()));
  for (int slice = 0; slice < slices(); ++slice)
    for (size_t i = 0; i < nodes; ++i)
      if (const int u = system.dofs.unknown[i]; u >= 0)
        s.a[static_cast<size_t>(slice) * nodes + i] = system.dofs.sign[i] * x[slice * per_slice + u];
  for (int side : {0, 1}) read_winding(side, x, s);
  s.voltage = (e.resistance + j * (e.omega * e.end_inductance)) * s.current + j * e.omega * s.linkage;
  read_losses(x, s);
  for (int slice = 0; slice < slices(); ++slice) {
    const double weight = cage.slices[static_cast<size_t>(slice)].weight;
    s.stator += weight * x[wave(slice, 0)];
    s.rotor += weight * x[wave(slice, 1)];
  }
  s.torque = torque(e, x);
}

CageField::CageField(const Section& section, const Mesh& mesh, const Materials& materials, const CageEnds& ends,
                     const SolverOptions& options, const CageOptions& cage)
    : impl_(std::make_unique<Impl>(section, mesh, materials, ends, options, cage)) {}
CageField::~CageField() = default;
CageField::CageField(CageField&&) noexcept = default;

void CageField::forget() {
  impl_->near_holds = false;
}

const Section& CageField::section() const {
  return impl_->system.section;
}

int CageField::unknowns() const {
  return impl_->size;
}

StaticSolution CageField::instant(const CageSolution& solution) const {
  StaticSolution now;
  const FieldSystem& system = impl_->system;
  const size_t nodes = system.mesh.nodes.size(), middle = static_cast<size_t>(impl_->slices() / 2);
  std::vector<double> imaginary;
  for (size_t n = 0; n < nodes; ++n) {
    now.a.push_back(solution.a[middle * nodes + n].real());
    imaginary.push_back(solution.a[middle * nodes + n].imag());
  }
  const bool all = impl_->cage.coupling == GapCoupling::all_harmonics;
  now.rotor_angle = impl_->cage.slices[middle].angle + (all ? solution.excitation.rotor_angle : 0);
  now.gap = system.annulus->field(system.gather(now.a), now.rotor_angle);
  if (!all) {  // the forward wave alone: half of u − jv, u and v the order's coefficients of both parts
    const GapField other = system.annulus->field(system.gather(imaginary), now.rotor_angle);
    GapHarmonic wave;
    for (size_t k = 0; k < other.harmonics.size(); ++k)
      if (other.harmonics[k].order == section().pole_pairs)
        wave = {section().pole_pairs, 0.5 * (now.gap.harmonics[k].stator - j * other.harmonics[k].stator),
                0.5 * (now.gap.harmonics[k].rotor - j * other.harmonics[k].rotor)};
    now.gap.harmonics = {wave};
  }
  now.newton_steps = solution.newton_steps;
  return now;
}

CageSolution CageField::solve(const CageExcitation& excitation, const CageSolution* start) {
  Impl& m = *impl_;
  CageSolution solution;
  solution.excitation = excitation;
  std::vector<Complex> x(static_cast<size_t>(m.size));
  if (start != nullptr) {
    const size_t nodes = m.system.mesh.nodes.size(), given = start->a.size();
    for (int slice = 0; slice < m.slices(); ++slice)
      for (size_t n = 0; n < nodes; ++n)
        if (const int u = m.system.dofs.unknown[n]; u >= 0)
          x[slice * m.per_slice + u] =
              m.system.dofs.sign[n] * start->a[given == nodes ? n : static_cast<size_t>(slice) * nodes + n];
    x[m.phase[0]] = start->current;
    if (m.wound()) x[m.phase[1]] = start->rotor_current;
  }
  m.approach(excitation, start != nullptr, x, solution);
  m.read_off(x, solution);
  return solution;
}

}  // namespace polepitch
