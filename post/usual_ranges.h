// Ranges that reactances of synchronous machines above 100 kVA usually lie in: to flag an odd result, never to fill in
// a missing one. Source: P. Kundur, Power System Stability and Control (memory), thermal units for cylindrical rotors,
// hydro units for salient poles.
#pragma once

#include <string>
#include <vector>

#include "post/results.h"

namespace polepitch {

/// From here on the ranges are meant [VA].
constexpr double kUsualFrom = 100e3;

/// One sentence for each per-unit reactance outside its range, the first of a name; nothing for other rotors than
/// "cylindrical" and "salient-pole" and for smaller machines.
std::vector<std::string> unusual_reactances(const std::string& rotor_type, double rated_power,
                                            const std::vector<Quantity>& quantities);

}  // namespace polepitch
