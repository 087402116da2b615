// Linear fields that vary as Re(… e^{jωt}) in the stator, with eddy currents in solid parts of the rotor, which turns
// at its own speed (docs/theory.md, "Time-harmonic fields"). Phasors are peak.
//
// A forward wave of order n turns counter-clockwise with ω/n; the rotor sees it at ω − nΩ. A backward one is of order
// −n and seen at ω + nΩ.
#pragma once

#include <complex>
#include <memory>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

/// How orders of the gap field meet the rotor (physics: the choice is stated beside each torque).
enum class GapCoupling {
  own_frequency,  // every order at its own rotor frequency: exact for a rotor that looks the same from every angle
  all_harmonics,  // every order at the frequency of the fundamental
  fundamental     // only the forward order p crosses; others see a smooth permeable surface at the other side's bore
};

struct HarmonicExcitation {
  std::vector<std::complex<double>> currents;  // A, peak, one per Section::branches
  double omega = 0;                            // rad/s, of the currents
  double speed = 0;                            // rad/s, mechanical, of the rotor
  double rotor_angle = 0;                      // rad, at t = 0 (all_harmonics)
};

/// One order of the gap field at its own sense.
struct HarmonicOrder {
  int order = 0;                       // signed: forward positive
  double rotor_omega = 0;              // rad/s, as the rotor sees it
  std::complex<double> stator, rotor;  // Wb/m, phasors of its amplitude on both gap circles, as the stator sees them
  double torque = 0;                   // N m, whole machine
  double rotor_loss = 0;               // W, by torque and slip of this order
};

struct HarmonicSolution {
  HarmonicExcitation excitation;
  std::vector<std::complex<double>> a;  // Wb/m, one per mesh node; rotor nodes hold the working order's own field
  std::vector<HarmonicOrder> orders;    // both senses, by magnitude
  std::vector<double> loss;             // W, Joule loss of each region, whole machine, sum over the orders
  double torque = 0;                    // N m, on the rotor, whole machine

  /// Of all solid rotor parts [W]; and by torque and slip of every order, which agrees to the residual of the
  /// equations.
  double rotor_loss() const;
  double rotor_loss_by_torque() const;
};

/// Parts in which currents may flow round on their own: rings, shaft and sleeve of the rotor that carry no current of a
/// branch. Each is taken to close on itself round the axis.
bool is_solid_part(const Region& region);

class TimeHarmonicField {
 public:
  /// Keeps references to section and mesh. Throws InputError for an unknown material, and where a part follows a B–H
  /// curve: this field is linear.
  TimeHarmonicField(const Section& section, const Mesh& mesh, const Materials& materials,
                    const SolverOptions& options = {});
  ~TimeHarmonicField();
  TimeHarmonicField(TimeHarmonicField&&) noexcept;

  HarmonicSolution solve(const HarmonicExcitation& excitation, GapCoupling coupling);

  /// Flux linkage of every branch [Wb turns, peak phasor], whole machine.
  std::vector<std::complex<double>> linkages(const HarmonicSolution& solution) const;
  const Section& section() const;
  double conductivity(int region) const;  // S/m of solid rotor parts, 0 of all others

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
