// A saturated machine whose rotor turns with slip, as a time-harmonic field (docs/theory.md, "Time-harmonic fields"):
// B–H curves by the fundamental of H on each locus, bars with currents and voltages of their own joined by ring
// segments, a wound rotor closed over resistances, or solid parts; a balanced winding fed by voltage or current. Across
// the gap the forward wave of order p alone (every other wave sees a smooth surface), or every wave at one slip.
// Phasors are peak; a winding's phase k carries I e^{−jα_k}, α_k its axis.
#pragma once

#include <complex>
#include <memory>
#include <vector>

#include "solver/static_field.h"
#include "solver/time_harmonic_field.h"

namespace polepitch {

/// One ring's piece between neighbouring bars; or a bar's parts outside of the stack.
struct RingSegment {
  double resistance = 0, inductance = 0;  // ohm, H
};

/// What joins the bars outside of the stack.
struct CageEnds {
  CageEnds() = default;
  CageEnds(const RingSegment& common) : ring(common) {}
  RingSegment ring;                      // of all bars, or with separate rings of the inner cage
  RingSegment outer_ring;                // with separate rings
  bool separate_rings = false;           // each cage (Branch::cage) has rings of its own
  RingSegment overhang, outer_overhang;  // of a bar of the only or inner, and of the outer cage, both ends together
};

/// A piece of a skewed machine: the rotor's angle against its middle, and its share of the length.
struct SkewSlice {
  double angle = 0;  // rad, mechanical
  double weight = 1;
};

struct CageOptions {
  GapCoupling coupling = GapCoupling::fundamental;  // or all_harmonics
  std::vector<SkewSlice> slices = {{}};
};

struct CageExcitation {
  double omega = 0;  // rad/s, of the supply
  double slip = 1;
  bool voltage_fed = true;
  std::complex<double> supply;  // V of a phase's terminal, or A of phase A
  double resistance = 0;        // ohm per phase
  double end_inductance = 0;    // H per phase
  double rotor_resistance = 0;  // ohm per phase of a wound rotor, what stands outside of it included
  double rotor_end_inductance = 0;
  bool rotor_open = false;  // slip rings without a circuit
  double rotor_angle = 0;   // rad, mechanical; of all_harmonics
};

struct CageSolution {
  CageExcitation excitation;
  std::vector<std::complex<double>> a;             // Wb/m, one per mesh node, slice by slice
  std::complex<double> current, linkage;           // A, Wb: of phase A (mean over the phases), end winding not included
  std::complex<double> voltage;                    // V, of the terminal
  std::complex<double> rotor_current;              // A, of phase a of a wound rotor
  std::complex<double> rotor_linkage;              // Wb, end winding not included
  std::vector<std::complex<double>> bars;          // A, current of each bar of the sector
  std::vector<std::complex<double>> bar_voltages;  // V/m along each bar inside the stack, mean over the slices
  std::complex<double> stator, rotor;              // Wb/m: the forward wave of order p on both gap circles, mean
  double torque = 0;                               // N m, whole machine
  double bar_loss = 0, ring_loss = 0;              // W, whole machine; bars with their overhang
  double rotor_copper = 0;                         // W, of a wound rotor and what stands outside of it
  double solid_loss = 0;                           // W, of solid parts
  int newton_steps = 0, factorisations = 0, iterations = 0;  // the latter of GMRES, all steps together
  std::vector<double> residuals;                             // relative, one per step

  double rotor_loss() const { return bar_loss + ring_loss + rotor_copper + solid_loss; }
};

class CageField {
 public:
  /// Keeps references to section and mesh. Throws InputError for unknown materials and bars without conductivity.
  CageField(const Section& section, const Mesh& mesh, const Materials& materials, const CageEnds& ends,
            const SolverOptions& options = {}, const CageOptions& cage = {});
  ~CageField();
  CageField(CageField&&) noexcept;

  /// Newton with the whole symmetric tangent of each locus; steps are found by GMRES behind a Cholesky factor of the
  /// fields with all circuits (solver/cage_factor.h), which is kept for the next solution, and renewed where it takes
  /// too many iterations; with solid parts, or much skin effect, behind an LU factor of the tangent where the iteration
  /// stands. From `start` (its A alone is needed, of one slice or of all) or from nothing. Throws ConvergenceError.
  CageSolution solve(const CageExcitation& excitation, const CageSolution* start = nullptr);
  /// The next solution takes a factor of its own: what it is to the last bit no longer depends on earlier ones.
  void forget();

  /// The field of the middle slice at the instant t = 0, when the rotor's d-axis lies on the axis of phase A (at
  /// rotor_angle with all harmonics), for pictures. With the fundamental alone its gap holds the one order that
  /// crosses; the others end at the gap circles.
  StaticSolution instant(const CageSolution& solution) const;

  const Section& section() const;
  int unknowns() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
