// Torque without stator current over one cogging period, for every study that gives it.
#pragma once

#include "cases/load.h"
#include "cases/study_tools.h"

namespace polepitch {

bool rotor_has_source(const Section& section, double field_current);

/// Whether there are slots and a source to hold the rotor, and positions were asked for.
bool has_cogging(const Section& section, double field_current, int count);

/// Excitations at `count` positions over one cogging period, the stator without current, from load.rotor_angle.
std::vector<Excitation> cogging_positions(const Section& section, const Load& load, int count);

/// torque_cogging and the curve "cogging"; nothing where there is no cogging. `from`, `to`: share of the study's
/// progress. `at` describes a field current that a study searched for; left out, the load's own stands there.
void add_cogging(StudyContext& context, const Load& load, int count, StudyResult& result, double from, double to,
                 At at = {});

}  // namespace polepitch
