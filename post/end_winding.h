// What a coil does outside the stack: its length there, and the leakage of all coil ends of a phase. Estimates of the
// drawing board, since no cross-section knows the ends; each result names its formula.
#pragma once

#include <string>

#include "geometry/winding.h"

namespace polepitch {

/// One end of the average coil.
struct EndTurn {
  double span = 0;    // m, from one coil side to the other along the arc of the mean slot radius
  double axial = 0;   // m, how far the end reaches out of the stack
  double length = 0;  // m of conductor from stack to stack
  std::string method;
};

/// Mean number of slots from one side of a coil to the other, the shorter way round.
double mean_coil_span(const WindingLayout& layout);

/// `radius` of the middle of the coil sides [m]. With `overhang` or `end_height` in the case's [winding]: straight
/// pieces of that overhang, then two slants of that height over half the span each. Without: 1.2 · span + 50 mm (half
/// of what l_av = 2 l + 2.4 W + 0.1 m leaves outside the stack; Pyrhönen, Jokinen, Hrabovcová, Design of Rotating
/// Electrical Machines, for random-wound coils of round wire; memory); for tooth coils a half circle over the span
/// (common practice).
EndTurn end_turn(const WindingLayout& layout, double radius, const Block& winding);

/// Permeance factors of coil ends: of their axial and of their peripheral pieces. The defaults are those of a winding
/// in two planes or of diamond coils opposite a cage (same book, after Richter; memory).
struct EndPermeance {
  double axial = 0.50, span = 0.20;
};

/// Leakage inductance of a phase's coil ends, both ends of the machine [H]:
/// L_w = (4 m/Q) q N² μ0 (2 l_ew λ_lew + W_ew λ_W) = (2/p) N² μ0 (…), N turns in series (same book; memory).
double end_winding_inductance(const WindingLayout& layout, const EndTurn& end, const EndPermeance& permeance = {});

/// Names the formula, for a result's `method`.
std::string end_winding_method();

}  // namespace polepitch
