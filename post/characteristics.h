// What the standards construct from the characteristics of a synchronous machine with a field winding (IEC 60034-4-1,
// IEEE Std 115; theory.md, eq. 53 to 57). Voltages and currents of the armature are r.m.s. per phase, field currents
// direct. Every function throws std::logic_error where a curve does not reach what is asked of it.
#pragma once

#include <optional>

#include "post/monotone_curve.h"

namespace polepitch {

/// The steepest straight line from the origin to a point of the no-load curve: where they touch there must be a point,
/// since what lies between two of them is not known well enough.
struct AirGapLine {
  double slope = 0;    // V/A
  double touches = 0;  // A, field current where it touches
  double current(double voltage) const { return voltage / slope; }
};
AirGapLine air_gap_line(const MonotoneCurve& no_load);

/// S = (i_f − i_f,airgap)/i_f,airgap at a voltage of the no-load curve.
double saturation_factor(const MonotoneCurve& no_load, const AirGapLine& line, double voltage);

/// From the field currents that make rated voltage on no load (i_f0) and on the air-gap line (i_fg), and rated current
/// on short circuit (i_fk).
struct ShortCircuitRatio {
  double i_f0 = 0, i_fg = 0, i_fk = 0;  // A
  double unsaturated() const { return i_fk / i_fg; }
  double saturated() const { return i_fk / i_f0; }
  double ratio() const { return i_f0 / i_fk; }
};

/// Potier's triangle at one voltage and current: B lies i_fk left of A, the point of the zero-power-factor curve; the
/// line through B parallel to the air-gap line meets the no-load curve in C; D is C's foot on AB. X_p = CD/I.
/// None where the machine saturates so little that the two are parallel.
struct PotierTriangle {
  double voltage = 0, current = 0;  // V, A
  double i_fa = 0, i_fb = 0;        // A, field currents of A and B
  double i_fc = 0, u_c = 0;         // of C
  double reactance() const { return (u_c - voltage) / current; }
  double armature_reaction() const { return i_fa - i_fc; }  // A of field current: AD
};
std::optional<PotierTriangle> potier_triangle(const MonotoneCurve& no_load, const AirGapLine& line, double i_fk,
                                              double i_fa, double voltage, double current);

/// A load of a generator: current behind the voltage by φ (over-excited).
struct GeneratorLoad {
  double voltage = 0, current = 0, power_factor = 1, resistance = 0;  // V, A, 1, ohm
};

/// Field current at a load by Potier's diagram (IEC 60034-4-1): the no-load current of E_p = U + (R + jX_p) I,
/// behind it by 90°, and the armature reaction along the current, added as phasors. Angles are ahead of U.
struct PotierDiagram {
  double e_p = 0, e_p_angle = 0;  // V, rad ahead of U
  double i_fp = 0, i_fa = 0;      // A: no-load field current of E_p; armature reaction
  double i_f = 0, i_f_angle = 0;  // A, rad ahead of U
  double current_angle = 0;       // rad, of I against U (negative: behind)
};
PotierDiagram potier_diagram(const MonotoneCurve& no_load, const PotierTriangle& triangle, const GeneratorLoad& load);

/// Field current at a load by the saturation increment (IEEE Std 115): the currents of the air-gap line and of the
/// short circuit added as phasors, and to their sum what the no-load curve asks at E_p beyond the air-gap line.
struct SaturationIncrement {
  double i_fg = 0, i_fk = 0;  // A, of U + R I on the air-gap line; of I on short circuit
  double sum = 0, increment = 0, i_f = 0;
};
SaturationIncrement saturation_increment(const MonotoneCurve& no_load, const AirGapLine& line, double i_fk,
                                         const PotierTriangle& triangle, const GeneratorLoad& load);

}  // namespace polepitch
