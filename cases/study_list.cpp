#include "cases/study_list.h"

namespace polepitch {

const std::vector<StudyType>& study_types() {
  static const std::vector<StudyType> list = {operating_point_study(),
                                              torque_angle_study(),
                                              rotating_field_study(),
                                              reactances_study(),
                                              magnetising_curve_study(),
                                              load_point_study(),
                                              load_angle_study(),
                                              v_curves_study(),
                                              capability_study(),
                                              slip_study(),
                                              flux_map_study(),
                                              torque_speed_study(),
                                              iron_loss_study(),
                                              open_circuit_study(),
                                              short_circuit_study(),
                                              zero_power_factor_study(),
                                              characteristics_study(),
                                              frequency_response_study(),
                                              no_load_study(),
                                              locked_rotor_study(),
                                              equivalent_circuit_study(),
                                              acceleration_study(),
                                              steady_state_study(),
                                              run_up_study(),
                                              sudden_short_circuit_study(),
                                              pull_out_study()};
  return list;
}

}  // namespace polepitch
