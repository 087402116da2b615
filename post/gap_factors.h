// Factors of the hand calculation that a field solution is set beside: Carter's factor and the uniform gap.
#pragma once

namespace polepitch {

/// Carter's γ = (4/π)[(b/2δ) atan(b/2δ) − ln √(1 + (b/2δ)²)] for an opening b over a gap δ (F. W. Carter, 1901;
/// theory.md, eq. 30).
double carter_gamma(double opening, double gap);
/// k_C = τ/(τ − γ δ) for slots of pitch τ with opening b: the gap's equivalent lengthening. 1 without an opening.
double carter_factor(double slot_pitch, double opening, double gap);

/// (1 + ρ)/(1 − ρ), ρ = (r_i/r_a)^(2p): field of a sheet on the outer of two permeable circles, over its value times
/// μ0. p·(r_a/δ) in a thin gap.
double annulus_factor(double inner_radius, double outer_radius, int pole_pairs);

/// Main inductance of m phases in a slotless gap [H]: 2 m μ0 L (k_w N)²/(π p) · (1 + ρ)/(1 − ρ) (theory.md, eq. 31).
double slotless_main_inductance(int phases, int pole_pairs, double turns_in_series, double winding_factor,
                                double length, double inner_radius, double outer_radius);

}  // namespace polepitch
