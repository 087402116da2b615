// What the machine IS: the case file's blocks after reading, all values in SI, nothing drawn yet.
#pragma once

#include <string>
#include <vector>

#include "geometry/parameter.h"

namespace polepitch {

/// Tables: [rating], [machine], [stator] (type: slotted, slotless), [stator.slot] (type = slot shape), [winding],
/// [rotor] (type = rotor type), [rotor.slot], [rotor.winding], [mesh], [limits].
struct Machine {
  Block rating;
  Block general;  // [machine]: pole_pairs, length, stacking_factor, temperature, outer_boundary, shaft …
  Block stator;
  Block stator_slot;
  Block winding;
  Block rotor;
  Block rotor_slot;
  Block rotor_winding;
  Block mesh;
  Block limits;

  int pole_pairs() const { return general.values.integer("pole_pairs"); }
  double length() const { return general.values.number("length"); }
};

/// The declared parameters of the tables that have no type.
const std::vector<Parameter>& rating_parameters();
const std::vector<Parameter>& general_parameters();
const std::vector<Parameter>& winding_parameters();
const std::vector<Parameter>& mesh_parameters();
const std::vector<Parameter>& limit_parameters();

/// Peak phase voltage [V], peak phase current [A], angular frequency [rad/s], impedance [ohm], torque [N m]: the base
/// of per unit (docs/theory.md; reciprocal base, base power = 3/2 · u · i for three phases).
struct PerUnitBase {
  double power = 0, voltage = 0, current = 0, omega = 0, impedance = 0, torque = 0;
  bool star = true;
};
PerUnitBase per_unit_base(const Machine& machine);

}  // namespace polepitch
