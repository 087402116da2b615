// The rotor against an infinite supply: J dΩ/dt = T(δ) − T_L with dδ/dt = ω − p Ω (theory.md, section "Load points"),
// and the periodic torque curve that it runs on.
#pragma once

#include <functional>
#include <vector>

namespace polepitch {

/// Trigonometric interpolation of a function of an angle known at n equally spaced angles: passes through them, and is
/// exact for the orders under n/2.
class PeriodicCurve {
 public:
  /// `values` at −π + 2π k/n, k = 0 … n−1.
  explicit PeriodicCurve(const std::vector<double>& values);
  double at(double angle) const;

 private:
  std::vector<double> cosine_, sine_;  // by order
};

struct SwingInput {
  std::function<double(double)> torque;  // N m on the rotor at the load angle δ, motoring positive
  double load = 0;                       // N m of the shaft against motoring; negative: the shaft drives
  double inertia = 0;                    // kg m2, everything that turns
  int pole_pairs = 1;
  double start_angle = 0;   // rad, δ at t = 0, at synchronous speed
  double duration = 0;      // s
  double stop_angle = 0;    // rad: ends where |δ| passes it; 0: never
  double tolerance = 1e-8;  // of δ [rad] and of its rate over that of the first swing, per step
  double samples = 200;     // kept, equally spaced, in `duration`
};

struct Swing {
  std::vector<double> time, angle, slip_speed;  // s; rad; rad/s electrical, dδ/dt
  bool lost = false;                            // |δ| passed stop_angle
  int steps = 0, refused = 0;
};

/// Dormand–Prince 5(4) (J. R. Dormand, P. J. Prince, J. Comput. Appl. Math. 6(1), 1980) with step control.
Swing swing(const SwingInput& input);

}  // namespace polepitch
