// A machine whose linkages are closed formulas, as a circuit model; folders and commands for tests of its files.
#pragma once

#include <complex>
#include <string>
#include <vector>

#include "post/circuit_model.h"

namespace polepitch {

/// λ_d = 0.08 + 0.06 tanh(i_d/150) and λ_q = 0.15 tanh(i_q/120) (1 + 0.1 tanh(i_d/150)): invented, with both axes
/// saturating and one leaning on the other; torque 3/2 p (λ_d i_q − λ_q i_d) with p = 4.
FluxMapPoint saturating_machine(double i_d, double i_q);
/// Its map of 17 × 17 currents and a state of round numbers with a field winding.
CircuitModel circuit_example();

/// With a field winding whose 1 A counts as 20 A of i_d (reciprocal: λ_f has 3/2 · 20 times what is common): λ_d = 0.12
/// tanh((i_d + 20 i_f)/150) + 2e-4 i_d, λ_q = 0.15 tanh(i_q/120) (1 − 0.1 tanh²(…)), λ_f = 3.6 tanh(…) + 0.3 i_f;
/// invented.
struct WoundPoint {
  double lambda_d = 0, lambda_q = 0, lambda_f = 0, torque = 0;
};
WoundPoint saturating_wound(double i_d, double i_q, double i_f);
/// circuit_example() with its map of 17 × 17 currents at five field currents up to 4 A in place of the other.
CircuitModel wound_example();

/// An induction machine with two cages and no synchronous parts: the inverse-Γ form first, then its T form. Invented.
CircuitModel induction_example();

/// A new folder with the model's files, removed at the end.
class CircuitFolder {
 public:
  explicit CircuitFolder(const CircuitModel& model);
  ~CircuitFolder();
  const std::string& path() const { return path_; }
  std::string text(const std::string& file) const;
  /// Standard output of a shell command run in the folder; a test failure unless it exits with 0.
  std::string run(const std::string& command) const;

 private:
  std::string path_;
};

struct TransientEnd {
  double i_d = 0, i_q = 0, i_f = 0, torque = 0;
};

/// The subcircuit fed with three sinusoids of v_d + j v_q (peak) at a constant speed, from rest linkages until
/// `duration` [s], at a machine in star or delta: phase currents turned into dq at the end. `field_volts` feeds the
/// field winding where there is one; `speed` [rad/s] in place of the synchronous one.
TransientEnd spice_transient(const CircuitFolder& folder, const std::string& subcircuit, std::complex<double> voltage,
                             int pole_pairs, double omega, double duration, double field_volts = 0, bool star = true,
                             double speed = 0);

}  // namespace polepitch
