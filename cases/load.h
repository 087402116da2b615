// An operating point as a study states it, and the rotor positions over which its quantities are averaged.
#pragma once

#include <vector>

#include "cases/study.h"
#include "geometry/parameter.h"

namespace polepitch {

/// Currents of the machine, inside the program always peak values.
struct Load {
  double current = 0;                  // A, peak of the phase currents
  double current_angle = 0;            // rad, electrical, of the current vector ahead of the d-axis
  double field_current = 0;            // A
  double bar_current = 0;              // A, peak over the bars
  double bar_angle = 0;                // rad, electrical, of the bars' MMF ahead of the d-axis
  std::vector<double> phase_currents;  // A, instantaneous, instead of current and angle; held while the rotor turns
  double rotor_angle = 0;              // rad, mechanical, of the first position
  int positions = 1;
};

/// phase_current (r.m.s.), current_angle, field_current, bar_current, bar_angle, phase_currents, rotor_angle,
/// positions.
std::vector<Parameter> load_parameters();
/// Throws InputError for every fault between the study and the machine.
Load read_load(const Case& kase, const Section& section, const Block& study);
/// Peak of phase_current, or of the rated current. Throws InputError where the case states neither.
double phase_current(const Case& kase, const Block& study);

/// A rotor that slips: bars of a cage, or phases of its own between slip rings.
bool has_bars(const Section& section);

/// Step between mean positions' ends [rad, mechanical]. Synchronous rotors: the currents follow the rotor, and the
/// field repeats, phases exchanged, after 180°/m electrical (m odd). Cages: every MMF stands still in space while the
/// rotor turns under it by one bar pitch.
double ripple_period(const Section& section);

/// Excitation at one rotor angle; angles of `load` refer to the d-axis at load.rotor_angle for cages, to the turning
/// d-axis for all other rotors.
Excitation excite(const Section& section, const Load& load, double rotor_angle);

/// load.positions excitations over one ripple period.
std::vector<Excitation> mean_positions(const Section& section, const Load& load);

/// Three unequal positions over one ripple period: what a mesh for this load is adapted to.
std::vector<Excitation> adaption_states(const Section& section, const Load& load);

/// {"phase_current", "12 A"} … for Quantity::at; only what the machine has.
std::vector<std::pair<std::string, std::string>> describe_load(const Section& section, const Load& load);

}  // namespace polepitch
