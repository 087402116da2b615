// What a cage does outside of the stack: its end rings and the parts of its bars between stack and rings. Estimates of
// the drawing board, since no cross-section knows the ends.
#pragma once

#include "geometry/section.h"
#include "solver/cage_field.h"
#include "solver/material.h"

namespace polepitch {

/// Leakage inductance of one ring's piece between neighbouring bars [H], μ0 D/(2 Q) ln(4.7 D/b): b = h + 2 w for a ring
/// at the stack, b = 2 (h + w) for one away from it, h its radial height, w its axial width (I. Boldea, S. A. Nasar,
/// The Induction Machines Design Handbook; memory).
double ring_segment_inductance(double mean_diameter, double height, double width, int bars, bool at_stack);

/// Inductance per metre [H/m] of one of `bars` straight conductors in air on a circle of radius r [m] whose currents
/// are a wave of p pole pairs: −(μ0/2π) Σ_k ln(d_k) cos(2πpk/Q), d_k = 2 r sin(πk/Q) and d_0 the conductor's own
/// geometric mean distance, 0.2235 of half its outline (F. W. Grover, Inductance Calculations; memory).
double overhang_inductance(int bars, int pole_pairs, double radius, double half_outline);

/// Rings and overhang of a rotor of type cage or double-cage; nothing for others. What the case gives of a ring segment
/// goes before its dimensions. Throws InputError for bars of a material without conductivity.
CageEnds cage_ends(const Section& section, const Block& rotor, const Materials& materials, double temperature);

}  // namespace polepitch
