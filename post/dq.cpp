#include "post/dq.h"

#include <cmath>
#include <complex>

#include "solver/bh_curve.h"

namespace polepitch {

namespace {

bool axes_add_to_zero(std::span<const double> axes) {
  std::complex<double> sum = 0;
  for (double axis : axes) sum += std::polar(1.0, axis);
  return std::abs(sum) < 1e-9 * static_cast<double>(axes.size());
}

}  // namespace

std::vector<double> phase_axes(int phases) {
  const double step = phases % 2 == 1 ? 2 * pi / phases : pi / phases;
  std::vector<double> axes(phases);
  for (int k = 0; k < phases; ++k) axes[k] = k * step;
  return axes;
}

std::vector<double> phase_axes(const Section& section) {
  std::vector<double> axes;
  for (const Branch& branch : section.branches) {
    if (branch.kind == BranchKind::phase) axes.push_back(section.pole_pairs * branch.angle);
  }
  return axes;
}

Dq to_dq(std::span<const double> phases, std::span<const double> axes, double theta_e) {
  Dq dq;
  double sum = 0;
  for (std::size_t k = 0; k < axes.size(); ++k) {
    dq.d += phases[k] * std::cos(theta_e - axes[k]);
    dq.q -= phases[k] * std::sin(theta_e - axes[k]);
    sum += phases[k];
  }
  const double m = static_cast<double>(axes.size());
  dq.d *= 2 / m;
  dq.q *= 2 / m;
  if (axes_add_to_zero(axes)) dq.zero = sum / m;
  return dq;
}

std::vector<double> to_phases(const Dq& dq, std::span<const double> axes, double theta_e) {
  const double zero = axes_add_to_zero(axes) ? dq.zero : 0;
  std::vector<double> phases(axes.size());
  for (std::size_t k = 0; k < axes.size(); ++k) {
    phases[k] = dq.d * std::cos(theta_e - axes[k]) - dq.q * std::sin(theta_e - axes[k]) + zero;
  }
  return phases;
}

double dq_torque(const Dq& linkage, const Dq& current, int phases, int pole_pairs) {
  return 0.5 * phases * pole_pairs * (linkage.d * current.q - linkage.q * current.d);
}

int phase_count(const Section& section) {
  int count = 0;
  for (const Branch& branch : section.branches) count += branch.kind == BranchKind::phase;
  return count;
}

int field_branch(const Section& section) {
  for (std::size_t i = 0; i < section.branches.size(); ++i) {
    if (section.branches[i].kind == BranchKind::field) return static_cast<int>(i);
  }
  return -1;
}

Excitation dq_excitation(const Section& section, const Dq& current, double field_current, double rotor_angle) {
  const std::vector<double> phases = to_phases(current, phase_axes(section), section.pole_pairs * rotor_angle);
  return phase_excitation(section, phases, field_current, rotor_angle);
}

Excitation phase_excitation(const Section& section, std::span<const double> phase_currents, double field_current,
                            double rotor_angle) {
  Excitation excitation;
  excitation.rotor_angle = rotor_angle;
  excitation.currents.assign(section.branches.size(), 0.0);
  std::size_t phase = 0;
  for (std::size_t i = 0; i < section.branches.size(); ++i) {
    const BranchKind kind = section.branches[i].kind;
    if (kind == BranchKind::phase) excitation.currents[i] = phase_currents[phase++];
    if (kind == BranchKind::field) excitation.currents[i] = field_current;
  }
  return excitation;
}

void set_bar_currents(Excitation& excitation, const Section& section, double amplitude, double gamma) {
  excitation.currents.resize(section.branches.size(), 0.0);
  int cages = 1;
  for (const Branch& branch : section.branches)
    if (branch.kind == BranchKind::bar) cages = std::max(cages, branch.cage + 1);
  for (std::size_t i = 0; i < section.branches.size(); ++i) {
    if (section.branches[i].kind != BranchKind::bar) continue;
    excitation.currents[i] = amplitude / cages * std::sin(section.pole_pairs * section.branches[i].angle - gamma);
  }
}

Dq phases_to_dq(const Section& section, std::span<const double> branch_values, double rotor_angle) {
  std::vector<double> phases;
  for (std::size_t i = 0; i < section.branches.size(); ++i) {
    if (section.branches[i].kind == BranchKind::phase) phases.push_back(branch_values[i]);
  }
  return to_dq(phases, phase_axes(section), section.pole_pairs * rotor_angle);
}

}  // namespace polepitch
