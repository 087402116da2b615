// What the winding of a wound rotor resists and weighs: numbers that need the drawn section but no field.
#pragma once

#include "geometry/section.h"
#include "post/end_winding.h"
#include "solver/material.h"

namespace polepitch {

/// As WindingData of post/winding_data.h, of [rotor.winding]. `conductor_area` 0: the case states no conductor, and the
/// resistance is 0 as well.
struct RotorWindingData {
  double winding_factor = 0;  // of the working order
  double turns_in_series = 0;
  EndTurn end;
  double conductor_area = 0;  // m2
  double resistance = 0;      // ohm per phase, direct current, at the machine's temperature
  double end_inductance = 0;  // H per phase
};

/// All 0 for a rotor without phases.
RotorWindingData rotor_winding_data(const Section& section, const Machine& machine, const Materials& materials);

}  // namespace polepitch
