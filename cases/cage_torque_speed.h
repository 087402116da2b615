// Torque over speed of a machine with a cage under a supply whose voltage rises with its frequency up to the rated one:
// one curve a frequency, with starting and largest torque.
#pragma once

#include "cases/slip_points.h"

namespace polepitch {

/// frequencies, boost, slip_points: the keys of a torque-speed study that only a cage has.
std::vector<Parameter> cage_torque_speed_parameters();
/// Throws InputError with every key that does not fit a cage.
void check_cage_torque_speed(const Case& kase, const Section& section, const Block& study);
StudyResult cage_torque_speed(StudyContext& context, const Block& study);
std::vector<Excitation> cage_torque_speed_states(const Case& kase, const Section& section, const Block& study);
/// Skin depth in the bars at standstill and the largest frequency.
std::vector<double> cage_torque_speed_edges(const Case& kase, const Section& section, const Block& study);

}  // namespace polepitch
