#include "post/response_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> response_quantities() {
  return {
      {"T_do_transient", "s", "Transient time constant of the d-axis, armature open."},
      {"T_do_subtransient", "s", "Subtransient time constant of the d-axis, armature open."},
      {"T_d_transient", "s", "Transient time constant of the d-axis, armature shorted."},
      {"T_d_subtransient", "s", "Subtransient time constant of the d-axis, armature shorted."},
      {"T_qo_transient", "s", "Transient time constant of the q-axis, armature open."},
      {"T_qo_subtransient", "s", "Subtransient time constant of the q-axis, armature open."},
      {"T_q_transient", "s", "Transient time constant of the q-axis, armature shorted."},
      {"T_q_subtransient", "s", "Subtransient time constant of the q-axis, armature shorted."},
      {"T_a", "s", "Time constant of the armature's direct current, X_2/(omega R) (IEC 60034-4-1)."},
      {"L_afo", "H",
       "Mutual inductance of field winding and armature: linkage of the field winding by 1 A of i_d over 3/2 (m/2), at "
       "the lowest frequency, field winding open (IEEE Std 115)."},
      {"field_base_ratio", "",
       "Field base current over base current, X_ad/X_df: turns the field winding's quantities to the stator's side."},
      {"rotor_circuits_d", "", "Rotor circuits of the chosen structure on the d-axis, the field winding included."},
      {"rotor_circuits_q", "", "Rotor circuits of the chosen structure on the q-axis."},
      {"fit_deviation_d", "",
       "Root of the mean square of L_d of the circuit less L_d(j omega) of the field, over the latter's size."},
      {"fit_deviation_q", "",
       "Root of the mean square of L_q of the circuit less L_q(j omega) of the field, over the latter's size."},
      {"fit_deviation_g", "",
       "Root of the mean square of j omega G of the circuit less that of the field: of the field current over i_d."},
      {"response_error", "",
       "Estimated error of the operational inductances on the adapted mesh, over L(0); root of the mean square over "
       "both "
       "axes and a few frequencies."},
      {"skin_depth", "mm", "Skin depth at the highest frequency, by the part's incremental permeability."},
      {"elements_per_skin_depth", "",
       "Skin depth at the highest frequency over the edge of the mesh where the part's loss is."},
      {"solid_loss_share", "",
       "Loss of the part at the highest frequency over the apparent power of the armature current that makes it, the "
       "larger of both axes."},
  };
}

std::vector<QuantityDefinition> response_reactances() {
  return {
      {"X_d_subtransient", "ohm", "Subtransient reactance of the d-axis."},
      {"X_q_transient", "ohm", "Transient reactance of the q-axis."},
      {"X_q_subtransient", "ohm", "Subtransient reactance of the q-axis."},
      {"X_2", "ohm", "Negative-sequence reactance."},
      {"X_f1d", "ohm",
       "What field winding and damper of the d-axis link and the armature does not (IEEE Std 1110), of either sign."},
      {"X_1d", "ohm", "Leakage reactance of the d-axis damper, on the stator's side."},
      {"X_1q", "ohm", "Leakage reactance of the first rotor circuit on the q-axis, on the stator's side."},
      {"X_2q", "ohm", "Leakage reactance of the second rotor circuit on the q-axis, on the stator's side."},
      {"R_fd", "ohm", "Resistance of the field winding, on the stator's side of the reciprocal base."},
      {"R_1d", "ohm", "Resistance of the d-axis damper, on the stator's side."},
      {"R_1q", "ohm", "Resistance of the first rotor circuit on the q-axis, on the stator's side."},
      {"R_2q", "ohm", "Resistance of the second rotor circuit on the q-axis, on the stator's side."},
  };
}

}  // namespace polepitch
