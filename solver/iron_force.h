// The elements whose reluctivity follows a B–H curve: their force, tangent and energy, added to those of the linear
// part (solver/field_system.h).
#pragma once

#include <functional>
#include <vector>

#include "solver/field_system.h"

namespace polepitch {

/// force += ∂w/∂A of the nonlinear elements at x.
void add_iron_force(const FieldSystem& system, const std::vector<double>& x, std::vector<double>& force);

/// The same, and their stiffness to `values` (of system.pattern): the consistent tangent, or the reluctivity frozen at
/// x.
void add_iron_stiffness(const FieldSystem& system, const std::vector<double>& x, bool frozen,
                        std::vector<double>& force, std::vector<double>& values);

/// Magnetic energy of one sector per metre [J/m]: elements, annulus, outside, magnets.
double field_energy(const FieldSystem& system, const GapTurn& turn, const std::vector<double>& x);

/// Step length with |slope| well under the one at 0, between 0 (slope0 < 0) and 1 (slope1 > 0): false position with
/// halving on the bracket. `slope_at(t)` rises with t.
double search_line(double slope0, double slope1, const std::function<double(double)>& slope_at);

}  // namespace polepitch
