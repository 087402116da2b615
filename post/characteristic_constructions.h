// The standards' constructions as data: what post/characteristics.h computes, with every named point and line. Field
// currents in A, voltages and armature currents in per unit of the rated values.
#pragma once

#include "post/characteristics.h"
#include "post/construction.h"

namespace polepitch {

/// What the machine's curves are: r.m.s. per phase against field current; base values for per unit.
struct CharacteristicCurves {
  MonotoneCurve no_load;            // V
  MonotoneCurve short_circuit;      // A
  MonotoneCurve zero_power_factor;  // V
  AirGapLine line;
  double voltage = 0, current = 0;  // V, A, rated
};

/// S(1.0) and, where the curve reaches it, S(1.2).
Construction saturation_construction(const CharacteristicCurves& curves);
/// X_d unsaturated and saturated, short-circuit ratio.
Construction short_circuit_construction(const CharacteristicCurves& curves, const ShortCircuitRatio& ratio);
Construction potier_construction(const CharacteristicCurves& curves, const ShortCircuitRatio& ratio,
                                 const PotierTriangle& triangle);
/// Phasors in per unit: voltages of the rated one, field currents of i_f0.
Construction potier_diagram_construction(const CharacteristicCurves& curves, const ShortCircuitRatio& ratio,
                                         const PotierTriangle& triangle, const GeneratorLoad& load,
                                         const PotierDiagram& diagram);
Construction increment_construction(const ShortCircuitRatio& ratio, const SaturationIncrement& increment);

}  // namespace polepitch
