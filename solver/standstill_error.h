// Where the mesh leaves a standstill field (solver/standstill_field.h) inaccurate.
#pragma once

#include <complex>
#include <vector>

#include "solver/flux_recovery.h"
#include "solver/static_field.h"

namespace polepitch {

/// Adds each triangle's share of the error of a small change `potential` [Wb/m, nodal] about `state` (without nodal
/// values: about no field), over that change's energy: real and imaginary part in the tangent's form (docs/theory.md,
/// eq. 38).
void add_standstill_shares(const StaticField& field, const FluxRecovery& recovery, const StaticSolution& state,
                           const std::vector<std::complex<double>>& potential, std::vector<double>& share);

/// Skin depth [m] of each triangle of a conductor at ω by the incremental permeability about `state` (the geometric
/// mean of both directions'); 0 where `conductivity` (per region) is 0.
std::vector<double> skin_depths(const StaticField& field, const StaticSolution& state,
                                const std::vector<double>& conductivity, double omega);

}  // namespace polepitch
