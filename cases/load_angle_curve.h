// Torque over the load angle at held terminal voltage and field current, solved on the field at every angle, and the
// two-reactance curve beside it.
#pragma once

#include <optional>

#include "cases/steady_state.h"

namespace polepitch {

/// T = (m/2)(p/ω) [E U/X_d sin δ + (U²/2)(1/X_q − 1/X_d) sin 2δ], peak values, resistance neglected.
struct TwoReactances {
  double emf = 0, x_d = 0, x_q = 0;  // V, peak, on the q-axis; ohm
  double voltage = 0;                // V, peak
  double scale = 0;                  // (m/2)(p/ω), s
  double torque(double delta) const;
};

/// Of the field frozen at `point`, with E of the same state: E_q = u_q − R i_q − X_d i_d.
TwoReactances two_reactances(const SteadyState& state, const SteadyPoint& point, const FrozenInductances& frozen,
                             int pole_pairs);

/// Unsaturated: at a tenth of the field current of `point` without armature current, E scaled up again; of a rotor with
/// magnets on no load, its bridges as the magnets leave them. None for a rotor without either: its iron has no
/// unsaturated state of use. Moves the state.
std::optional<TwoReactances> unsaturated_reactances(SteadyState& state, const SteadyPoint& point,
                                                    const Section& section);

/// Points at δ = −π + 2π k/count. Solved outwards from `near`, each from its neighbour; `solved(k, point)` is called
/// while the state's fields are those of the point.
std::vector<SteadyPoint> load_angle_points(SteadyState& state, const SteadyPoint& near, double voltage, int count,
                                           const std::function<void(int, const SteadyPoint&)>& solved = {});

}  // namespace polepitch
