// The stator and rotor types of the catalogue.
#pragma once

#include "geometry/drawing.h"

namespace polepitch {

const StatorType& slotted_stator();
const StatorType& slotless_stator();

const RotorType& salient_pole_rotor();
const RotorType& cage_rotor();
const RotorType& surface_magnet_rotor();
const RotorType& layers_rotor();

}  // namespace polepitch
