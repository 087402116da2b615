// MMF vectors of both sides, the torque angle between them, and the gap-flux vectors that their sources make.
//
// A vector F e^{jα} stands for F(θ) = F cos(pθ − α) on the gap circle, α electrical in the stator frame. From the
// current I(θ) that lies within each angle, dF/dθ = −dI/dθ, so F e^{jα} = (1/jpπ) ∫ e^{jpθ} dI over the whole machine;
// magnets enter as the currents ∇×M on their faces and inside, M = ν B_rem as in the field equation. Integrated by
// parts their share is (1/π) ∫ (M_r/r) e^{jpθ} dA: a radial magnet of height h has the MMF M h (theory.md, eq. 24, 25).
#pragma once

#include <complex>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

/// Per region and ampere-turn (currents) or as it stands (magnets): its share of F e^{jα} in its own frame, integrated
/// along its outline: no mesh enters, and one serves every position.
struct MmfMoments {
  std::vector<std::complex<double>> per_ampere_turn;  // 1
  std::vector<std::complex<double>> magnet;           // A
};
MmfMoments mmf_moments(const StaticField& field);

struct MmfVectors {
  std::complex<double> stator, rotor;  // A
};
MmfVectors mmf_vectors(const Section& section, const MmfMoments& moments, const Excitation& excitation);

/// ε = arg F_s − arg F_r, electrical, in (−π, π], positive motoring. Without a source on the rotor it is measured from
/// the rotor's d-axis, which `from_d_axis` says (theory.md, eq. 27).
struct TorqueAngle {
  double angle = 0;
  bool from_d_axis = false;
};
TorqueAngle torque_angle(const MmfVectors& mmf, int pole_pairs, double rotor_angle);

/// Fundamental flux of one pole through the mean gap circle [Wb] as Φ e^{jα}: Φ = 2 r L B_r1/p. `stator` and `rotor`
/// are what each side's sources alone make in the field frozen at `state`; they add to `total` to round-off (eq. 28).
struct GapFluxVectors {
  std::complex<double> stator, rotor, total;
};
GapFluxVectors gap_flux_vectors(StaticField& field, const StaticSolution& state, const Excitation& excitation);

/// T = p π μ0 r L F_s F_r sin ε / g [N m]: exact for two sheets on the faces of a thin uniform gap g (m) at the mean
/// radius r (theory.md, eq. 26). In a slotted, salient or saturated machine its difference from the field's torque
/// shows how far that machine is from a uniform gap.
double uniform_gap_torque(const MmfVectors& mmf, double epsilon, int pole_pairs, double radius, double length,
                          double gap);

/// g = μ0 F/B_r1 [m]: the uniform gap in which the MMF F makes the fundamental flux Φ of gap_flux_vectors.
double equivalent_gap(double mmf, double flux, int pole_pairs, double radius, double length);

}  // namespace polepitch
