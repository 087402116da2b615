#include "post/characteristic_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> characteristic_quantities() {
  return {
      {"i_field_no_load", "A", "Field current of rated voltage on the no-load curve, i_f0."},
      {"i_field_air_gap", "A", "Field current of rated voltage on the air-gap line, i_fg."},
      {"air_gap_slope", "V/A",
       "Slope of the air-gap line, the steepest straight line from the origin that touches the no-load curve; phase "
       "voltage, root mean square, per field current."},
      {"saturation_factor", "",
       "S(1.0) = (i_f - i_f,airgap)/i_f,airgap at rated voltage, no-load curve against air-gap line (IEEE Std 115)."},
      {"saturation_factor_120", "", "S(1.2): the same at 1.2 times rated voltage."},
      {"E_line", "V", "Root mean square of the fundamental line-to-line voltage of E_phase, three phases."},
      {"emf_peak", "V",
       "Largest magnitude of the phase voltage on no load at rated speed, its harmonics to order 100."},
      {"emf_distortion", "",
       "Root of the sum of squares of the harmonics of the phase voltage on no load, over its fundamental, to order "
       "100."},
      {"emf_distortion_line", "", "The same of the line-to-line voltage (IEC 60034-1), without orders divisible by 3."},
      {"harmonic_voltage_factor", "",
       "Root of the sum of (u_n/u_1)^2/n on no load, orders n from 2 to 13 that 3 does not divide (IEC 60034-1)."},
      {"i_field_short_circuit", "A", "Field current of rated armature current on sustained short circuit, i_fk."},
      {"I_short_circuit", "A",
       "Root mean square of the sustained three-phase short-circuit current at rated speed, magnets alone."},
      {"i_field_zero_power_factor", "A",
       "Field current of rated voltage and rated current at zero power factor, over-excited."},
      {"short_circuit_ratio", "", "i_f0 over i_fk: the reciprocal of x_d_saturated."},
      {"i_field_armature_reaction", "A",
       "Armature reaction of rated current in field current, the base of Potier's triangle."},
      {"i_field_rated_potier", "A", "Field current at rated load as a generator by Potier's diagram (IEC 60034-4-1)."},
      {"i_field_rated_increment", "A",
       "Field current at rated load as a generator by the saturation increment at E_p (IEEE Std 115)."},
  };
}

std::vector<QuantityDefinition> characteristic_reactances() {
  return {
      {"X_d_unsaturated", "ohm",
       "i_fk/i_fg, short-circuit curve against air-gap line, times the base impedance (IEC 60034-4-1)."},
      {"X_d_saturated", "ohm",
       "i_fk/i_f0, short-circuit curve against no-load curve, times the base impedance (IEC 60034-4-1)."},
      {"X_0", "ohm",
       "Zero-sequence reactance of the section: linkage of one ampere in every phase in the frozen field, times the "
       "angular frequency; end winding not included."},
      {"X_fd", "ohm",
       "Leakage reactance of the field winding referred to the stator, all mutuals of the d-axis equal to X_ad (IEEE "
       "Std "
       "1110); its end winding not included."},
      {"X_d_transient", "ohm",
       "Transient reactance of the d-axis; of the study reactances that of the field winding alone, X_l + X_ad "
       "X_fd/(X_ad + X_fd) (IEC 61970-302): no damper, no eddy currents."},
      {"X_potier", "ohm", "Potier reactance, the height of Potier's triangle over the current."},
  };
}

}  // namespace polepitch
