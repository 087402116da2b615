// Terminal conditions as two unknowns: what currents and terminal voltage they stand for, and their derivatives.
#pragma once

#include <array>
#include <string>

#include "cases/steady_state.h"

namespace polepitch {

/// At two unknowns: currents, the voltage that the terminal wants, and ∂/∂ each unknown.
struct TerminalTrial {
  Phasor current, voltage;
  double field_current = 0;
  std::array<Phasor, 2> d_current{}, d_voltage{};
  std::array<double, 2> d_field_current{};
};

/// Unknowns by Terminal::given: powers: δ, i_f; power: δ, Q; load_angle: i_d, i_q; current_only: angle of u from the
/// q-axis, U.
TerminalTrial terminal_trial(const Terminal& terminal, const std::array<double, 2>& unknowns, int phases);

/// The unknowns' values at a point near by.
std::array<double, 2> unknowns_at(const Terminal& terminal, const SteadyPoint& point, int phases);

/// Largest share of a Newton step: no more than half a radian of an angle at once.
double step_limit(const Terminal& terminal, const std::array<double, 2>& step);

/// "400 V, 30 kW, 0 var", for messages; r.m.s. values.
std::string describe(const Terminal& terminal);

}  // namespace polepitch
