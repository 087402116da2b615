#include "post/induction_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> induction_quantities() {
  return {
      {"E_gap", "V",
       "EMF that the working wave of the gap induces in a phase, r.m.s.: terminal voltage less R_1 I and "
       "jX_1 I."},
      {"I_no_load", "A", "Phase current at synchronous speed, r.m.s., the current of the iron loss included."},
      {"friction_loss", "W", "Friction and windage at synchronous speed, as the case gives it."},
      {"friction_loss_test", "W",
       "Friction and windage by the no-load test: power less copper loss over the square of the voltage, on a straight "
       "line to no voltage."},
      {"iron_loss_test", "W", "Iron loss by the no-load test: power less copper loss less friction_loss_test."},
      {"torque_forward", "N m", "Torque of the field that turns with the rotor."},
      {"torque_backward", "N m", "Torque of the field that turns against the rotor."},
      {"torque_pulsation", "N m",
       "Amplitude of the torque at twice the supply's frequency, of forward field on backward current and the other "
       "way."},
      {"I_no_load_ratio", "", "Phase current at synchronous speed over the rated one."},
      {"X_no_load", "ohm", "Reactance of the no-load test: reactive power over m I^2, X_1 and X_m of the circuit."},
      {"R_fe", "ohm", "Resistance across the magnetising reactance that takes the iron loss at this EMF."},
      {"R_locked", "ohm", "Resistance of the locked-rotor test: active power over m I^2."},
      {"X_locked", "ohm", "Reactance of the locked-rotor test, at its own frequency: reactive power over m I^2."},
      {"X_locked_rated", "ohm", "Reactance of the locked-rotor test times rated over test frequency."},
      {"speed", "rpm", "Speed of the rotor, counter-clockwise positive."},
      {"cage_power_balance", "",
       "Power into the terminals less copper, iron, bar and ring loss and less the shaft's power, over rated apparent "
       "power."},
      {"breakdown_torque", "N m", "Largest torque over the slip at held voltage and frequency."},
      {"breakdown_slip", "", "Slip of the largest torque."},
      {"breakdown_speed", "rpm", "Speed of the largest torque."},
      {"locked_rotor_torque", "N m", "Torque at standstill."},
      {"locked_rotor_current", "A", "Phase current at standstill, r.m.s."},
      {"final_speed", "rpm", "Speed at which the motor's torque meets the load's, coming from standstill."},
      {"run_up_time", "s",
       "Time from standstill to 99 % of the final speed, the currents following the speed at once."},
      {"run_up_bar_heat", "J", "Joule heat of all bars up to then."},
      {"run_up_ring_heat", "J", "Joule heat of both end rings up to then."},
      {"run_up_rotor_heat", "J", "Joule heat of the rotor's winding up to then."},
      {"run_up_external_heat", "J", "Joule heat of the resistances between the slip rings up to then."},
      {"run_up_stator_heat", "J", "Joule heat of the stator winding up to then."},
      {"run_up_bar_heat_per_mass", "J/kg",
       "Heat of the bars over their mass; over the specific heat (aluminium 900, copper 385 J/(kg K)) it is the rise "
       "of "
       "their temperature without cooling."},
      {"kinetic_energy", "J", "Half of inertia times speed squared at the end of the run-up."},
      {"rotor_heat_ratio", "",
       "Rotor heat of the run-up over the kinetic energy: 1 of an unloaded start to synchronism."},
      {"slip_curve_error", "",
       "Largest difference of torque between the curve over slip and fields between its points, over the largest "
       "torque."},
      {"R_2_slip", "ohm", "Rotor resistance that reproduces the field at this slip, T form, referred to the stator."},
      {"X_2_slip", "ohm", "Rotor leakage that reproduces the field at this slip, T form, referred to the stator."},
      {"X_sigma_slip", "ohm", "Whole leakage of the inverse-gamma form at this slip."},
      {"X_M_slip", "ohm", "Magnetising reactance of the inverse-gamma form at this slip."},
      {"R_R_slip", "ohm", "Rotor resistance of the inverse-gamma form at this slip."},
      {"fit_points_kept_back", "", "Slips that the fit did not use and its deviation is taken at."},
      {"X_1_test", "ohm",
       "Stator leakage from the no-load and locked-rotor tests at rated frequency, parted from X_2_test by the stated "
       "ratio; not the field's split."},
      {"X_2_test", "ohm", "Rotor leakage from the no-load and locked-rotor tests at rated frequency."},
      {"X_m_test", "ohm", "Magnetising reactance from the no-load and locked-rotor tests at rated frequency."},
      {"R_2_test", "ohm", "Rotor resistance from the locked-rotor test, at its frequency, referred to the stator."},
  };
}

}  // namespace polepitch
