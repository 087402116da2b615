// What --json prints on standard output.
#pragma once

#include <string>
#include <vector>

#include "cases/animate.h"
#include "cases/listing.h"
#include "geometry/error.h"

namespace polepitch {

/// [{"name": …, "sentence": …, "unit": …}, …]; quantities alone have a unit.
std::string list_json(const std::vector<ListEntry>& entries);

/// {"study": …, "output": …, "frames": …, "axis": …}
std::string animation_json(const AnimateReport& report);

/// {"error": {"code": 3, "diagnostics": [{"file", "line", "column", "message", "hint"}, …]}}; unknown places are null.
std::string error_json(int code, const std::vector<Diagnostic>& diagnostics);

}  // namespace polepitch
