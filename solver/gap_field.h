// The field in the annulus between the two gap circles, as harmonics in the stator frame:
// A(r, θ) = Re Σ_n [a_n (r/r0)^n + b_n (r/r0)^−n] e^{jnθ}  (n ≥ 1),  plus a_0 + b_0 ln(r/r0) where n = 0 is admitted.
#pragma once

#include <algorithm>
#include <complex>
#include <vector>

namespace polepitch {

struct GapHarmonic {
  int order = 0;  // mechanical
  std::complex<double> stator,
      rotor;  // A's coefficient on the stator's and the rotor's gap circle [Wb/m], stator frame
};

struct GapField {
  double rotor_radius = 0, stator_radius = 0;  // r_r, r_s [m]; either may be the larger one
  std::vector<GapHarmonic> harmonics;          // ascending order

  double inner_radius() const { return std::min(rotor_radius, stator_radius); }
  double outer_radius() const { return std::max(rotor_radius, stator_radius); }
  double mean_radius() const { return 0.5 * (rotor_radius + stator_radius); }
  double potential(double r, double theta) const;                   // Wb/m
  std::complex<double> potential_order(double r, int order) const;  // coefficient of e^{jnθ}; A_n = Re(c e^{jnθ})
  struct Flux {
    double radial, tangential;  // T
  };
  Flux flux_density(double r, double theta) const;
  struct FluxOrder {
    int order;
    std::complex<double> radial, tangential;  // B = Re(c e^{jnθ})
  };
  std::vector<FluxOrder> spectrum(double r) const;
  /// Torque on the rotor per metre [N], in closed form: ±(r²/μ0) ∮ B_r B_θ dθ at any r, − where the rotor is outside.
  double torque_per_length() const;
  /// Stored energy of the annulus per metre, whole circle [J/m].
  double energy_per_length() const;
};

}  // namespace polepitch
