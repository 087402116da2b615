// What the windings weigh, fill, resist and carry: numbers that need the drawn section but no field.
#pragma once

#include <vector>

#include "geometry/section.h"
#include "post/end_winding.h"
#include "solver/material.h"

namespace polepitch {

/// Bare conductor area [m2], all strands, from wire_diameter or conductor_width × conductor_height of [winding]; 0 when
/// the case states neither. Throws InputError when it states both, or half of a rectangle.
double stated_conductor_area(const Block& winding);

/// The same, or where the slot's own rectangular conductors are drawn, their area over the turns of a coil.
double conductor_area(const Section& section, const Block& winding);

/// Largest over the slots; 0 when the conductor area is not known.
struct SlotFill {
  double copper = 0;     // copper over the whole body of the slot
  double insulated = 0;  // copper over what the insulation against the slot leaves
};
SlotFill slot_fill(const Section& section, double conductor_area, double insulation);

/// Direct-current resistance of a phase [ohm]: N l_turn/(σ A a), N turns in series of a path, a paths.
double phase_resistance(const WindingLayout& layout, double mean_turn, double conductor_area, double conductivity);

/// r.m.s. current density [A/m2] at an r.m.s. terminal current of the phase.
double current_density(const WindingLayout& layout, double conductor_area, double rms_current);

struct WindingData {
  double winding_factor = 0;  // of the working order
  double turns_in_series = 0;
  EndTurn end;
  double mean_turn = 0;       // m, 2 (L + end length)
  double conductor_area = 0;  // m2; 0: not stated, then the next four are 0 as well
  SlotFill fill;
  double resistance = 0;      // ohm per phase, direct current, at the machine's temperature
  double mass = 0;            // kg, all phases, coil ends included; 0 without a density
  double end_inductance = 0;  // H per phase
  std::vector<std::string> warnings;
};

/// The stator winding of a section with one; [machine] states the temperature.
WindingData winding_data(const Section& section, const Machine& machine, const Materials& materials);

/// Field coils of salient poles, all in series but for the parallel paths. The rectangle of a coil side is taken as
/// conductor: its area over the turns. Mean turn: twice stack and body, and a circle through the middle of the coil at
/// the corners (common practice); it, resistance and mass are 0 where the rotor states no body width. All 0 without
/// field winding.
struct FieldWindingData {
  double turns = 0;           // of a pole
  double mean_turn = 0;       // m
  double conductor_area = 0;  // m2, of the first coil side
  int paths = 1;
  double resistance = 0;  // ohm, at the machine's temperature
  double mass = 0;        // kg
};
FieldWindingData field_winding_data(const Section& section, const Machine& machine, const Materials& materials);

}  // namespace polepitch
