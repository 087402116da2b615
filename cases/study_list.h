// One function per study; study_types() calls each.
#pragma once

#include "cases/study.h"

namespace polepitch {

StudyType operating_point_study();
StudyType torque_angle_study();
StudyType rotating_field_study();
StudyType reactances_study();
StudyType magnetising_curve_study();
StudyType load_point_study();
StudyType load_angle_study();
StudyType v_curves_study();
StudyType capability_study();
StudyType slip_study();
StudyType no_load_study();
StudyType locked_rotor_study();
StudyType equivalent_circuit_study();
StudyType acceleration_study();
StudyType flux_map_study();
StudyType torque_speed_study();
StudyType iron_loss_study();
StudyType open_circuit_study();
StudyType short_circuit_study();
StudyType zero_power_factor_study();
StudyType characteristics_study();
StudyType frequency_response_study();
StudyType steady_state_study();
StudyType run_up_study();
StudyType sudden_short_circuit_study();
StudyType pull_out_study();

}  // namespace polepitch
