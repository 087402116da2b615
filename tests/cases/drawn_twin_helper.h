// A case whose stator and rotor are the drawing that its own section writes.
#pragma once

#include <string>

#include "cases/case.h"
#include "geometry/section.h"

namespace polepitch {

/// The case file's text with [stator] and [rotor] read from `file`, which holds dxf_text(section): a table of areas for
/// each role, one with a point for each magnet.
std::string drawn_twin(const Case& kase, const Section& section, const std::string& file);

}  // namespace polepitch
