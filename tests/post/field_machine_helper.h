// A machine small enough to draw by hand, for tests of quantities: two pole pairs, twelve open slots, one slot per pole
// and phase, full pitch, salient poles with a field winding or magnets. Invented. Drawn as a polar grid: one pole.
#pragma once

#include <memory>

#include "solver/static_field.h"

namespace polepitch::testing {

struct SmallMachineOptions {
  bool magnets = false;          // a magnet in the head of the pole instead of iron
  double slot_half_width = 4;    // deg: the slots' sides are radii
  double opening_height = 2e-3;  // m, of the open slot over its coil side, which is 10 mm high
  bool salient = true;           // false: the rotor is a smooth iron ring without a source
  bool nonlinear = true;         // iron with a B–H table, or µr = 100000
  double density = 0.5;          // of the mesh
  double tolerance = 1e-11;      // of Newton
};

inline constexpr double small_machine_turns = 20;         // per coil side, one path
inline constexpr double small_machine_field_turns = 200;  // per pole
inline constexpr double small_machine_remanence = 1.1;    // T, along the d-axis

struct SmallMachine {
  Section section;
  Mesh mesh;
  Materials materials;
  std::unique_ptr<StaticField> field;
};

/// Heap, since the field keeps references to section and mesh.
std::unique_ptr<SmallMachine> small_machine(const SmallMachineOptions& options = {});

}  // namespace polepitch::testing
