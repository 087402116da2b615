// Small changes of a field whose rotor stands still, with eddy currents in its solid parts and bars, linearised about a
// magnetic state by the incremental reluctivity (docs/theory.md, "Standstill frequency response"). All space harmonics
// cross the gap; the rotor sees each at the frequency of the currents. One computation gives every frequency of a band.
#pragma once

#include <complex>
#include <memory>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

struct StandstillRequest {
  /// Patterns of currents [A per unit of the source], one value per Section::branches.
  std::vector<std::vector<double>> sources;
  /// S/m per region: solid parts, and bars with voltages of their own; 0 where nothing is induced.
  std::vector<double> conductivity;
  double lowest = 0, highest = 0;  // rad/s, of the band
  /// Largest change of any entry over the roots of its diagonal ones, by the last halving of the steps between the
  /// shifts. What is left is smaller by another such factor.
  double tolerance = 1e-5;
  int most_levels = 4;  // of shifts: 1, 2, 4, 8 a decade
};

/// H(s) = bᵀ (K + sM)⁻¹ b = Σ_m shape_m shape_mᵀ/(1 + s τ_m), one sector and metre: linkage [Wb/m] of pattern i by
/// one unit of pattern j. After the sources come the bars, whose unit is one volt a metre: their pattern is σ over the
/// bar's area.
struct StandstillModes {
  std::vector<double> tau;              // s, relaxation times of the reduced field, ascending
  int inputs = 0;                       // sources and bars
  std::vector<double> shape;            // [mode · inputs + input]
  std::vector<int> bar_branch;          // index into Section::branches of each bar
  std::vector<double> bar_conductance;  // σ × area [S m]
  std::vector<double> fields;           // [mode · unknowns + unknown]: A = Σ fields_m shape_m·input/(1 + s τ_m)
  double change = 0;                    // see StandstillRequest::tolerance
  int factorisations = 0;

  int sources() const { return inputs - static_cast<int>(bar_branch.size()); }
  /// H by rows: [i · inputs + j].
  std::vector<std::complex<double>> at(std::complex<double> s) const;
};

class StandstillField {
 public:
  /// Keeps references to section and mesh. Throws InputError for an unknown material.
  StandstillField(const Section& section, const Mesh& mesh, const Materials& materials,
                  const SolverOptions& options = {});
  ~StandstillField();
  StandstillField(StandstillField&&) noexcept;

  /// About `state` (its rotor angle counts); without nodal values it is the zero field: initial permeability.
  /// Galerkin's projection onto the fields at real shifts, which takes both value and slope of H there from the whole
  /// field (moments of both sides; E. J. Grimme 1997). K and M are symmetric, so H is that of a passive circuit
  /// whatever the shifts.
  StandstillModes solve(const StaticSolution& state, const StandstillRequest& request);

  /// A [Wb/m] at the nodes for inputs (sources, bars) at s.
  std::vector<std::complex<double>> potential(const StandstillModes& modes, std::complex<double> s,
                                              const std::vector<std::complex<double>>& input) const;
  /// Joule loss [W] of each triangle, whole machine, with A from `potential` at frequency ω; `gradient` [V/m] is the
  /// bars' own voltage a metre, in the order of `modes`.
  std::vector<double> losses(const StandstillModes& modes, const std::vector<std::complex<double>>& potential,
                             double omega, const std::vector<double>& conductivity,
                             const std::vector<std::complex<double>>& gradient) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
