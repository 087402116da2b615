// A saturated machine with a cage that turns with slip, as a time-harmonic field (docs/theory.md, "Time-harmonic
// fields"): B–H curves by the fundamental of H on each locus, bars with currents and voltages of their own joined by
// ring segments, a balanced winding fed by voltage or current. Across the gap the forward wave of order p alone; every
// other wave sees a smooth surface. Phasors are peak; the winding's phase k carries I e^{−jα_k}, α_k its axis.
#pragma once

#include <complex>
#include <memory>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

/// One ring's piece between neighbouring bars.
struct RingSegment {
  double resistance = 0, inductance = 0;  // ohm, H
};

struct CageExcitation {
  double omega = 0;  // rad/s, of the supply
  double slip = 1;
  bool voltage_fed = true;
  std::complex<double> supply;  // V of a phase's terminal, or A of phase A
  double resistance = 0;        // ohm per phase
  double end_inductance = 0;    // H per phase
};

struct CageSolution {
  CageExcitation excitation;
  std::vector<std::complex<double>> a;     // Wb/m, one per mesh node
  std::complex<double> current, linkage;   // A, Wb: of phase A (mean over the phases), end winding not included
  std::complex<double> voltage;            // V, of the terminal
  std::vector<std::complex<double>> bars;  // A, current of each bar of the sector
  std::complex<double> outer, inner;       // Wb/m: the forward wave of order p on both gap circles
  double torque = 0;                       // N m, whole machine
  double bar_loss = 0, ring_loss = 0;      // W, whole machine
  int newton_steps = 0, factorisations = 0, iterations = 0;  // the latter of GMRES, all steps together
  std::vector<double> residuals;                             // relative, one per step
};

class CageField {
 public:
  /// Keeps references to section and mesh. Throws InputError for unknown materials and bars without conductivity.
  CageField(const Section& section, const Mesh& mesh, const Materials& materials, const RingSegment& ring,
            const SolverOptions& options = {});
  ~CageField();
  CageField(CageField&&) noexcept;

  /// Newton with the whole symmetric tangent of each locus, factorised where the iteration starts; later steps are
  /// found by GMRES behind that factor, and by a new one where it no longer helps. From `start` (its A alone is needed)
  /// or from nothing. Throws ConvergenceError.
  CageSolution solve(const CageExcitation& excitation, const CageSolution* start = nullptr);

  /// The field at the instant t = 0, when the rotor's d-axis lies on the axis of phase A, for pictures. Its gap holds
  /// the one order that crosses; the others end at the gap circles.
  StaticSolution instant(const CageSolution& solution) const;

  const Section& section() const;
  int unknowns() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
