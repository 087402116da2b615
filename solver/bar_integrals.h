// What conductors that carry currents of their own need of the mesh: ∫φ and ∫φφ over bars and over solid parts.
#pragma once

#include <map>
#include <utility>
#include <vector>

#include "solver/field_system.h"

namespace polepitch {

/// Of one bar, or of one solid part.
struct BarIntegrals {
  int branch = -1;                    // index into Section::branches
  double conductivity = 0, area = 0;  // S/m, m2
  std::map<int, double> shape;        // by unknown
  std::map<std::pair<int, int>, double> mass;
};

bool is_bar(BranchKind kind);

/// Of every branch of that kind, in the section's order. Throws InputError for bars without conductivity.
std::vector<BarIntegrals> bar_integrals(const FieldSystem& system, const Materials& materials, BranchKind kind);

/// Of every region where `conductivity` [S/m, per region] is not 0, in the section's order; without a branch.
std::vector<BarIntegrals> solid_integrals(const FieldSystem& system, const std::vector<double>& conductivity);

/// ∫ σ φφ in the system's pattern; `conductivity` [S/m] per region, 0 where nothing is induced.
std::vector<double> mass_values(const FieldSystem& system, const std::vector<double>& conductivity);

/// ∫ σ (u − x)² of each region [per metre of one sector], u a constant per region.
std::vector<double> squares(const FieldSystem& system, const std::vector<double>& conductivity,
                            const std::vector<double>& u, const std::vector<double>& x);

}  // namespace polepitch
