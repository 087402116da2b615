// Amplitude-invariant Park transform for m phases; q leads d by 90° electrical (IEEE Std 1110). Phase k's axis lies at
// the electrical angle α_k, the d-axis at θe = p·θ: x_d = (2/m) Σ x_k cos(θe − α_k), x_q = −(2/m) Σ x_k sin(θe − α_k)
// (theory.md, eq. 20).
#pragma once

#include <span>
#include <vector>

#include "geometry/section.h"
#include "solver/static_field.h"

namespace polepitch {

struct Dq {
  double d = 0, q = 0;
  double zero = 0;  // mean of the phases; kept only where the axes add to zero (odd m), else 0
};

/// Electrical angles [rad] of m phase axes: 2πk/m for odd m, πk/m for even m.
std::vector<double> phase_axes(int phases);
/// Of the phases that the section was drawn with: p × Branch::angle.
std::vector<double> phase_axes(const Section& section);

/// Phase quantities (one per axis) ↔ dq. `theta_e` is the electrical angle of the d-axis [rad].
Dq to_dq(std::span<const double> phases, std::span<const double> axes, double theta_e);
std::vector<double> to_phases(const Dq& dq, std::span<const double> axes, double theta_e);

/// (m/2) p (λ_d i_q − λ_q i_d) [N m], the mean torque of a machine whose dq currents are constant (theory.md, eq. 21).
double dq_torque(const Dq& linkage, const Dq& current, int phases, int pole_pairs);

/// Number of phases; index of the field winding's branch, −1 when there is none.
int phase_count(const Section& section);
int field_branch(const Section& section);

/// Excitation of the section's branches: phases by dq currents at the rotor angle, field winding by i_f, bars 0.
Excitation dq_excitation(const Section& section, const Dq& current, double field_current, double rotor_angle);
/// Phases by given instantaneous currents instead.
Excitation phase_excitation(const Section& section, std::span<const double> phase_currents, double field_current,
                            double rotor_angle);

/// Sinusoidal bar currents i_k = Î sin(p α_k − γ), α_k the bar's angle on the rotor: their MMF's axis lies γ electrical
/// ahead of the rotor's d-axis.
void set_bar_currents(Excitation& excitation, const Section& section, double amplitude, double gamma);

/// Phase currents of an excitation, or phase linkages (one entry per branch), in the rotor's dq frame.
Dq phases_to_dq(const Section& section, std::span<const double> branch_values, double rotor_angle);

}  // namespace polepitch
