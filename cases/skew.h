// A skewed machine as slices of the stack: the same section and the same currents, the rotor turned a little further
// from slice to slice. Torque and linkages are means over the slices; nothing flows along the axis (docs/theory.md,
// "Skew").
#pragma once

#include <vector>

#include "cases/study.h"

namespace polepitch {

/// Angles of the slices from the middle of the stack [rad, mechanical], ascending; {0} without skew.
std::vector<double> skew_offsets(const Case& kase);

/// Every point in every slice, slice by slice of each point: currents of the middle, the rotor turned.
std::vector<Excitation> in_slices(const std::vector<Excitation>& points, const std::vector<double>& offsets);

/// Means of values that stand slice by slice, `each` a point.
std::vector<double> over_slices(const std::vector<double>& slices, size_t each);

/// What a study says that knows nothing of skew; nothing without skew.
void warn_without_skew(const StudyContext& context, StudyResult& result);

}  // namespace polepitch
