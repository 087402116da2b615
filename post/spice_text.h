// What the SPICE files share: their head, and how phases hang on the terminals.
#pragma once

#include <array>
#include <string>

#include "post/circuit_model.h"

namespace polepitch {

/// Remarks: the machine, `what`, signs and units, pins.
std::string spice_header(const CircuitModel& model, const std::string& what);

/// Nodes of the three phases' ends: to the neutral, or in delta to the next terminal.
std::array<std::array<char, 2>, 3> spice_phase_ends(bool star);

/// "a b c n", or "a b c" in delta.
const char* spice_terminals(const CircuitModel& model);

/// Angle, Park transform (phase k's axis lies 2π/3 behind that of phase k − 1), the stator's voltage equations with the
/// linkages psid and psiq as states, and the phase currents of id and iq. Where the linkages start: numbers or
/// expressions of the subcircuit's parameters.
std::string spice_frame(const CircuitModel& model, const std::string& psid0 = "psid0",
                        const std::string& psiq0 = "psiq0");

}  // namespace polepitch
