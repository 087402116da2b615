// The slip study of a machine with a cage on two lines, the third terminal open: a pulsating field, as a forward and a
// backward one of equal currents in series.
#pragma once

#include "cases/cage_slip.h"

namespace polepitch {

/// Whether the study asks for it (supply = "two-lines").
bool on_two_lines(const Block& study);

StudyResult two_line_slip(StudyContext& context, const Block& study);

}  // namespace polepitch
