#include "post/chart_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> chart_quantities() {
  return {
      {"slip", "", "Slip against synchronous speed."},
      {"efficiency_cage", "",
       "Power at the shaft over power at the terminals (the other way of a generator); copper and cage loss only, "
       "without "
       "iron, friction and additional loss."},
      {"cage_loss", "W",
       "Joule loss of bars and end rings, or of a wound rotor and what stands between its slip rings."},
      {"ring_loss", "W", "Joule loss of both end rings."},
      {"I_line", "A", "Current of a line to a winding in delta, r.m.s."},
      {"ring_voltage", "V", "Between two slip rings of a wound rotor at rest, open, r.m.s."},
      {"I_rotor", "A", "Current of a phase of a wound rotor, r.m.s."},
      {"R_rotor_circuit", "ohm", "Resistance of a phase of a wound rotor with what stands between its slip rings."},
      {"R_rotor_phase", "ohm", "Resistance of a phase of a wound rotor's own winding, direct current."},
      {"rotor_winding_factor", "", "Winding factor of a wound rotor, of the working order."},
      {"rotor_turns_in_series", "", "Turns in series of a path of a phase of a wound rotor."},
      {"ring_segment_resistance", "ohm", "Resistance of one end ring between neighbouring bars."},
      {"ring_segment_inductance", "H", "Leakage inductance of one end ring between neighbouring bars."},
      {"torque_spread", "N m",
       "Largest less smallest torque over the rotor positions, where one slip stands for all harmonics."},
      {"rotor_frequency", "Hz", "Frequency of the rotor's currents, magnitude."},
      {"rotor_phase_angle", "deg",
       "Angle by which a bar's current lags the EMF that the working wave of the gap induces in it; its tangent is the "
       "rotor's omega L/R."},
      {"locked_rotor_torque_ratio", "", "Torque at standstill over the torque at rated speed."},
      {"locked_rotor_current_ratio", "", "Phase current at standstill over that at rated speed."},
      {"breakdown_torque_ratio", "", "Largest torque over the torque at rated speed."},
      {"circuit_frequency", "Hz", "Frequency of the supply that the circuit's reactances are of."},
      {"circuit_R_1", "ohm", "Resistance of a stator phase in the circuit."},
      {"circuit_X_1", "ohm", "Stator leakage of the circuit's T form."},
      {"circuit_X_2", "ohm", "Rotor leakage of the circuit's T form, common to both cages."},
      {"circuit_X_m", "ohm", "Magnetising reactance of the circuit's T form."},
      {"circuit_X_sigma", "ohm", "Whole leakage of the circuit's inverse-gamma form, in the stator branch."},
      {"circuit_X_M", "ohm", "Magnetising reactance of the circuit's inverse-gamma form."},
      {"circuit_R_a", "ohm",
       "Resistance of the circuit's only cage, or of the branch without leakage of two, referred to the stator."},
      {"circuit_R_b", "ohm", "Resistance of the circuit's branch with leakage of two, referred to the stator."},
      {"circuit_X_b", "ohm", "Leakage of that branch beyond what both have in common, referred to the stator."},
      {"circuit_torque_deviation", "",
       "Largest difference between the circuit's torque and the field's, at slips that the fit did not use, over the "
       "largest torque of the curve."},
      {"torque_fundamental", "N m", "Torque of the forward wave of order p alone."},
      {"rotor_loss", "W", "Joule loss of the rotor's solid parts, mean over a period."},
      {"part_loss", "W", "Joule loss of one solid part of the rotor, mean over a period."},
      {"gap_power_balance", "",
       "Power into the winding without its resistance, less rotor loss, less torque times speed, over apparent power; "
       "checks the code."},
      {"two_reactance_pull_out_torque_unsaturated", "N m",
       "Largest torque of the two-reactance curve with E, X_d and X_q of the unsaturated field."},
      {"two_reactance_pull_out_angle_unsaturated", "deg",
       "Load angle at the largest torque of the unsaturated two-reactance curve."},
      {"synchronising_torque", "N m/rad",
       "Torque's change with the load angle at held terminal voltage and field current; positive where the machine "
       "holds its load angle."},
      {"i_field_unity", "A", "Field current at power factor 1, the lowest point of a V-curve."},
      {"i_field_stability", "A",
       "Field current at the limit of stability of a V-curve, where the synchronising torque is 0."},
      {"i_field_limit", "A", "Largest field current of the capability chart."},
      {"Q_most_no_load", "var", "Largest reactive power, over-excited, that all limits allow without active power."},
      {"Q_least_no_load", "var",
       "Reactive power that all limits allow without active power, under-excited (negative)."},
      {"P_most", "W", "Largest active power that all limits allow."},
      {"Q_most", "var", "Largest reactive power, over-excited, that all limits allow at P_most."},
      {"Q_least", "var", "Least reactive power (under-excited: negative) that all limits allow at P_most."},
  };
}

}  // namespace polepitch
