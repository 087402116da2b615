#include "post/stepping_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> stepping_quantities() {
  return {
      {"torque_time_mean", "N m", "Torque on the rotor, mean over time."},
      {"torque_time_ripple", "N m", "Torque on the rotor, peak to peak over time."},
      {"torque_time_harmonic", "N m", "Torque of the time-harmonic field from which the steps start."},
      {"I_fundamental", "A", "Fundamental of the phase currents' positive sequence, r.m.s."},
      {"I_time_harmonic", "A", "Phase current of the time-harmonic field from which the steps start, r.m.s."},
      {"I_total", "A", "Phase current with all of its harmonics, r.m.s. over time and phases."},
      {"I_slot_harmonic_lower", "A",
       "Phase current at the frequency that the rotor's slots modulate down to, supply frequency times "
       "1 - (1 - s) Q_r/p, r.m.s."},
      {"I_slot_harmonic_upper", "A",
       "Phase current at the frequency that the rotor's slots modulate up to, supply frequency times "
       "1 + (1 - s) Q_r/p, r.m.s."},
      {"P_mean", "W", "Power from the lines' sources, mean over time."},
      {"rotor_conductor_loss", "W", "Loss of the rotor's conductors, bars and rings or phases, mean over time."},
      {"settled_change", "",
       "Change of the fundamental current between the two halves of the evaluated time, over itself: what is left of "
       "the start's transient."},
      {"energy_imbalance", "",
       "Energy of the sources less heat, stored energy and work at the shaft, over the sum of their magnitudes: falls "
       "with the square of the step."},
      {"time_steps", "", "Steps in time."},
      {"steps_refused", "", "Steps that were tried again, shorter, since their error was too large."},
      {"speed_settling_time", "s", "Time from switching on until the speed is within 2 % of its end."},
      {"n_end", "rpm", "Speed at the end of the steps, mean over a supply period."},
      {"I_peak", "A", "Largest instantaneous phase current."},
      {"torque_peak", "N m", "Largest torque on the rotor over time."},
      {"torque_trough", "N m", "Smallest torque on the rotor over time."},
      {"pull_out_torque_at_rest", "N m",
       "Pull-out torque at the same voltage and field current from the field at rest; positive in the machine's own "
       "sense."},
      {"torque_held", "N m", "Largest load torque that was held in step, positive in the machine's own sense."},
      {"torque_lost", "N m", "Load torque at which the machine fell out of step, positive in its own sense."},
      {"torque_held_ratio", "", "Largest load torque that was held over the pull-out torque of the field at rest."},
      {"time_lost", "s", "Time at which the load angle passed 180 degrees for good."},
      {"oscillogram_deviation", "",
       "What the parts of a short-circuit current leave of it (slots, iron that comes out of saturation), over all but "
       "the sustained current."},
      {"i_field_peak", "A", "Largest current of the field winding over time."},
      {"I_sustained", "A", "Sustained short-circuit current at the same field current, r.m.s."},
      {"heat_rotor", "J",
       "Heat of the cage's bars and rings, or of a wound rotor's phases and what stands between its slip rings, over "
       "the "
       "run."},
      {"heat_stator", "J", "Heat of the stator's winding and lines over the run."},
      {"heat_ratio", "",
       "Heat of the rotor over kinetic energy at the end: 1 for a run-up without load (energy theorem of slip)."},
  };
}

}  // namespace polepitch
