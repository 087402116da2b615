// The stator and rotor types of the catalogue.
#pragma once

#include "geometry/drawing.h"

namespace polepitch {

const StatorType& slotted_stator();
const StatorType& slotless_stator();
const StatorType& drawn_stator();
const StatorType& inner_slotted_stator();
const StatorType& inner_slotless_stator();
const StatorType& inner_drawn_stator();

const RotorType& salient_pole_rotor();
const RotorType& cage_rotor();
const RotorType& double_cage_rotor();
const RotorType& wound_rotor();
const RotorType& surface_magnet_rotor();
const RotorType& layers_rotor();
const RotorType& cylindrical_rotor();
const RotorType& buried_flat_rotor();
const RotorType& buried_v_rotor();
const RotorType& spoke_rotor();
const RotorType& reluctance_rotor();
const RotorType& drawn_rotor();
const RotorType& outer_magnet_rotor();
const RotorType& outer_drawn_rotor();

}  // namespace polepitch
