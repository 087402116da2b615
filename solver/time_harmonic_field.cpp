#include "solver/time_harmonic_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "solver/side_system.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// What the orders need once a mesh, stator frequency and rotor speed.
struct Waved {
  Eigen::VectorXcd direct;      // waves of the side's own sources alone
  Eigen::VectorXcd own;         // the field of those
  Eigen::MatrixXcd answers;     // fields of unit waves from the other side, by columns
  Eigen::MatrixXcd admittance;  // waves of `answers`
};

/// Factors by which waves of the other side and of the own one act on each side.
struct Coupling {
  Eigen::VectorXcd to_stator, to_rotor, own[2];
};

}  // namespace

bool is_solid_part(const Region& region) {
  return region.side == Side::rotor && region.branch < 0 &&
         (region.role == Role::layer || region.role == Role::shaft || region.role == Role::sleeve);
}

struct TimeHarmonicField::Impl {
  FieldSystem system;
  std::vector<double> conductivity;
  std::unique_ptr<SideSystem> side[2];
  GapCoupling prepared_for = GapCoupling::own_frequency;
  double factorised_at[2] = {NAN, NAN};  // rad/s

  Impl(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options);
  void prepare(GapCoupling coupling);
  void factorise(int which, double omega);
  Waved answer(int which, const std::vector<Complex>& source);
  Waved answer_at_own_frequencies(const HarmonicExcitation& excitation);
  double rotor_omega(const HarmonicExcitation& excitation, int signed_order) const;
  int signed_order(Eigen::Index k) const;
  Eigen::VectorXd smooth(int which) const;
  Coupling couple(const HarmonicExcitation& excitation, GapCoupling coupling) const;
  std::vector<Complex> source(const std::vector<Complex>& currents) const;
  std::vector<HarmonicOrder> orders_of(const HarmonicExcitation& e, const Coupling& c, const Eigen::VectorXcd& found,
                                       bool own) const;
  Eigen::VectorXcd rotor_field(const Waved& rotor, const Eigen::VectorXcd& strength,
                               const std::vector<HarmonicOrder>& orders, bool own, std::vector<double>& loss) const;
};

TimeHarmonicField::Impl::Impl(const Section& section, const Mesh& mesh, const Materials& materials,
                              const SolverOptions& options)
    : system(section, mesh, materials, options) {
  for (size_t r = 0; r < section.regions.size(); ++r) {
    const Region& region = section.regions[r];
    if (!system.curves[r].linear())
      throw InputError(fmt::format("{} is of {}, which follows a B-H curve: a time-harmonic field of constant "
                                   "permeability cannot take it",
                                   region.name, region.material),
                       "name a material with mu_r, such as linear-steel");
    conductivity.push_back(is_solid_part(region) ? materials.at(region.material).conductivity_at(options.temperature)
                                                 : 0);
  }
}

/// Own coefficients of one side with a smooth permeable surface at the other's bore or rotor surface.
Eigen::VectorXd TimeHarmonicField::Impl::smooth(int which) const {
  const Section& s = system.section;
  return smooth_self(*system.annulus, s.sectors, s.gap_circle(static_cast<Side>(which)),
                     which == 0 ? s.rotor_radius : s.stator_radius);
}

void TimeHarmonicField::Impl::prepare(GapCoupling coupling) {
  const bool alone = coupling == GapCoupling::fundamental;
  if (side[0] && alone == (prepared_for == GapCoupling::fundamental)) return;
  for (int which : {0, 1}) {
    const Eigen::VectorXd self = alone ? smooth(which) : system.annulus->self();
    side[which] = std::make_unique<SideSystem>(system, static_cast<Side>(which), conductivity, self);
    factorised_at[which] = NAN;
  }
  prepared_for = coupling;
}

void TimeHarmonicField::Impl::factorise(int which, double omega) {
  if (factorised_at[which] == omega) return;
  side[which]->factorise(omega);
  factorised_at[which] = omega;
}

Waved TimeHarmonicField::Impl::answer(int which, const std::vector<Complex>& source) {
  const SideSystem& s = *side[which];
  Waved w;
  w.own = s.solve(s.gather(source));
  w.direct = s.waves(w.own);
  const Eigen::Index waves = w.direct.size();
  w.answers.resize(s.size(), waves);
  w.admittance.resize(waves, waves);
  for (Eigen::Index k = 0; k < waves; ++k) {
    w.answers.col(k) = s.solve(s.wave_source(static_cast<int>(k)));
    w.admittance.col(k) = s.waves(w.answers.col(k));
  }
  return w;
}

int TimeHarmonicField::Impl::signed_order(Eigen::Index k) const {
  const auto& orders = system.annulus->orders();
  const auto count = static_cast<Eigen::Index>(orders.size());
  return k < count ? orders[k] : -orders[k - count];
}

double TimeHarmonicField::Impl::rotor_omega(const HarmonicExcitation& e, int signed_order) const {
  return e.omega - signed_order * e.speed;
}

/// The rotor answers each wave with that wave alone, at its own frequency.
Waved TimeHarmonicField::Impl::answer_at_own_frequencies(const HarmonicExcitation& excitation) {
  SideSystem& s = *side[1];
  const Eigen::Index waves = 2 * s.order_count();
  Waved w;
  w.own = Eigen::VectorXcd::Zero(s.size());
  w.direct = Eigen::VectorXcd::Zero(waves);
  w.answers.resize(s.size(), waves);
  w.admittance = Eigen::MatrixXcd::Zero(waves, waves);
  for (Eigen::Index k = 0; k < waves; ++k) {
    factorise(1, rotor_omega(excitation, signed_order(k)));
    w.answers.col(k) = s.solve(s.wave_source(static_cast<int>(k)));
    w.admittance(k, k) = s.waves(w.answers.col(k))[k];
  }
  return w;
}

Coupling TimeHarmonicField::Impl::couple(const HarmonicExcitation& excitation, GapCoupling coupling) const {
  const Section& s = system.section;
  const Annulus& annulus = *system.annulus;
  const Eigen::Index count = annulus.mutual().size();
  Coupling c;
  c.to_stator = c.to_rotor = c.own[0] = c.own[1] = Eigen::VectorXcd::Zero(2 * count);
  const bool alone = coupling == GapCoupling::fundamental;
  for (Eigen::Index k = 0; k < 2 * count; ++k) {
    const int n = signed_order(k);
    if (alone && n != s.pole_pairs) continue;
    const double angle = coupling == GapCoupling::own_frequency ? 0 : n * excitation.rotor_angle;
    c.to_stator[k] = annulus.mutual()[k % count] * std::polar(1.0, angle);
    c.to_rotor[k] = std::conj(c.to_stator[k]);
    if (alone)  // both sides were prepared with a smooth surface for every order: the working wave crosses instead
      for (int which : {0, 1}) c.own[which][k] = smooth(which)[k % count] - annulus.self()[k % count];
  }
  return c;
}

/// Waves of both sides, stator first.
Eigen::VectorXcd meet(const Waved& stator, const Waved& rotor, const Coupling& c) {
  const Eigen::Index waves = stator.direct.size();
  Eigen::MatrixXcd matrix = Eigen::MatrixXcd::Identity(2 * waves, 2 * waves);
  matrix.topLeftCorner(waves, waves) -= stator.admittance * c.own[0].asDiagonal();
  matrix.topRightCorner(waves, waves) = -stator.admittance * c.to_stator.asDiagonal();
  matrix.bottomLeftCorner(waves, waves) = -rotor.admittance * c.to_rotor.asDiagonal();
  matrix.bottomRightCorner(waves, waves) -= rotor.admittance * c.own[1].asDiagonal();
  Eigen::VectorXcd right(2 * waves);
  right << stator.direct, rotor.direct;
  return matrix.partialPivLu().solve(right);
}

TimeHarmonicField::TimeHarmonicField(const Section& section, const Mesh& mesh, const Materials& materials,
                                     const SolverOptions& options)
    : impl_(std::make_unique<Impl>(section, mesh, materials, options)) {}
TimeHarmonicField::~TimeHarmonicField() = default;
TimeHarmonicField::TimeHarmonicField(TimeHarmonicField&&) noexcept = default;

const Section& TimeHarmonicField::section() const {
  return impl_->system.section;
}

double TimeHarmonicField::conductivity(int region) const {
  return impl_->conductivity[region];
}

std::vector<Complex> TimeHarmonicField::Impl::source(const std::vector<Complex>& currents) const {
  std::vector<Complex> f(static_cast<size_t>(system.size()));
  for (size_t b = 0; b < system.branch.size() && b < currents.size(); ++b)
    for (size_t k = 0; k < system.branch[b].index.size(); ++k)
      f[system.branch[b].index[k]] += currents[b] * system.branch[b].value[k];
  return f;
}

std::vector<HarmonicOrder> TimeHarmonicField::Impl::orders_of(const HarmonicExcitation& e, const Coupling& c,
                                                              const Eigen::VectorXcd& found, bool own) const {
  const Eigen::Index waves = c.to_stator.size();
  const double whole = system.section.sectors * system.section.length;
  std::vector<HarmonicOrder> orders;
  for (Eigen::Index k = 0; k < waves; ++k) {
    HarmonicOrder order;
    order.order = signed_order(k);
    order.rotor_omega = rotor_omega(e, own ? order.order : system.section.pole_pairs);
    order.stator = found[k];
    order.rotor = found[waves + k];
    order.torque = -0.25 * whole * order.order * std::imag(std::conj(order.stator) * c.to_stator[k] * order.rotor);
    if (order.order != 0) order.rotor_loss = order.torque * order.rotor_omega / order.order;
    orders.push_back(order);
  }
  return orders;
}

/// The rotor's fields: their losses, and what is shown of them (at own frequencies the working order alone).
Eigen::VectorXcd TimeHarmonicField::Impl::rotor_field(const Waved& rotor, const Eigen::VectorXcd& strength,
                                                      const std::vector<HarmonicOrder>& orders, bool own,
                                                      std::vector<double>& loss) const {
  Eigen::VectorXcd shown = rotor.own;
  for (Eigen::Index k = 0; k < strength.size(); ++k) {
    const HarmonicOrder& order = orders[static_cast<size_t>(k)];
    const Eigen::VectorXcd field = rotor.answers.col(k) * strength[k];
    if (own) side[1]->add_loss(field, order.rotor_omega, loss);
    if (!own || order.order == system.section.pole_pairs) shown += field;
  }
  if (!own) side[1]->add_loss(shown, orders.front().rotor_omega, loss);
  return shown;
}

HarmonicSolution TimeHarmonicField::solve(const HarmonicExcitation& excitation, GapCoupling coupling) {
  Impl& m = *impl_;
  const FieldSystem& system = m.system;
  const bool own = coupling == GapCoupling::own_frequency;
  m.prepare(coupling);
  const std::vector<Complex> source = m.source(excitation.currents);
  m.factorise(0, excitation.omega);
  const Waved stator = m.answer(0, source);
  if (!own) m.factorise(1, m.rotor_omega(excitation, system.section.pole_pairs));
  const Waved rotor = own ? m.answer_at_own_frequencies(excitation) : m.answer(1, source);
  const Coupling c = m.couple(excitation, coupling);
  const Eigen::VectorXcd found = meet(stator, rotor, c);
  const Eigen::Index waves = stator.direct.size();
  const Eigen::VectorXcd u_s = found.head(waves), u_r = found.tail(waves);

  HarmonicSolution solution;
  solution.excitation = excitation;
  solution.orders = m.orders_of(excitation, c, found, own);
  solution.loss.assign(system.section.regions.size(), 0.0);
  std::vector<Complex> x(static_cast<size_t>(system.size()));
  m.side[0]->scatter(stator.own + stator.answers * (c.to_stator.cwiseProduct(u_r) + c.own[0].cwiseProduct(u_s)), x);
  const Eigen::VectorXcd strength = c.to_rotor.cwiseProduct(u_s) + c.own[1].cwiseProduct(u_r);
  m.side[1]->scatter(m.rotor_field(rotor, strength, solution.orders, own, solution.loss), x);
  for (double& loss : solution.loss) loss *= system.section.sectors * system.section.length;
  for (const HarmonicOrder& order : solution.orders) solution.torque += order.torque;
  solution.a.resize(system.mesh.nodes.size());
  for (size_t i = 0; i < solution.a.size(); ++i)
    if (const int u = system.dofs.unknown[i]; u >= 0) solution.a[i] = system.dofs.sign[i] * x[u];
  std::stable_sort(solution.orders.begin(), solution.orders.end(),
                   [](const auto& p, const auto& q) { return std::abs(p.order) < std::abs(q.order); });
  return solution;
}

std::vector<Complex> TimeHarmonicField::linkages(const HarmonicSolution& solution) const {
  const FieldSystem& s = impl_->system;
  std::vector<Complex> x(static_cast<size_t>(s.size())), linkages;
  for (size_t n = 0; n < solution.a.size(); ++n)
    if (s.dofs.unknown[n] >= 0) x[s.dofs.unknown[n]] = s.dofs.sign[n] * solution.a[n];
  for (const SparseVector& branch : s.branch) {
    Complex sum = 0;
    for (size_t k = 0; k < branch.index.size(); ++k) sum += branch.value[k] * x[branch.index[k]];
    linkages.push_back(sum * static_cast<double>(s.section.sectors) * s.section.length);
  }
  return linkages;
}

double HarmonicSolution::rotor_loss() const {
  double sum = 0;
  for (double l : loss) sum += l;
  return sum;
}

double HarmonicSolution::rotor_loss_by_torque() const {
  double sum = 0;
  for (const HarmonicOrder& o : orders) sum += o.rotor_loss;
  return sum;
}

}  // namespace polepitch
