// Direct-current resistance of a cage: bars, rings, and both referred to the stator (Pyrhönen, Jokinen, Hrabovcová,
// Design of Rotating Electrical Machines; memory). A direct-current value: skin effect belongs to a field.
#pragma once

#include "geometry/section.h"
#include "solver/material.h"

namespace polepitch {

/// l/(σ A) [ohm].
double bar_resistance(double length, double area, double conductivity);

/// One ring's piece between neighbouring bars: π D/(Q_r σ A) [ohm], D the ring's mean diameter.
double ring_segment_resistance(double mean_diameter, double area, int bars, double conductivity);

/// A bar with its share of both rings: R_bar + R_segment/(2 sin²(π p/Q_r)) [ohm].
double bar_with_rings(double bar, double ring_segment, int pole_pairs, int bars);

/// Factor from a bar to a stator phase: 4 m (N k_w1)²/Q_r.
double referred_factor(const WindingLayout& layout, int bars);

/// Cross-section and mean diameter of an end ring [m2, m]; its material is the bars'.
struct EndRing {
  double area = 0, mean_diameter = 0;
};

struct CageData {
  int bars = 0;
  double bar = 0, ring_segment = 0;  // ohm
  double bar_with_rings = 0;         // ohm
  double referred = 0;               // ohm per stator phase
  double bar_mass = 0, ring_mass = 0;
};

/// All 0 for a section without bars. Bars are as long as the stack. Throws InputError for bars of a material without
/// conductivity.
CageData cage_data(const Section& section, const EndRing& ring, const Materials& materials, double temperature);

}  // namespace polepitch
