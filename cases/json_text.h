// What --json prints on standard output.
#pragma once

#include <string>
#include <vector>

#include "cases/listing.h"
#include "geometry/error.h"
#include "post/results.h"

namespace polepitch {

/// [{"name": …, "sentence": …, "unit": …}, …]; quantities alone have a unit.
std::string list_json(const std::vector<ListEntry>& entries);

/// {"error": {"code": 3, "diagnostics": [{"file", "line", "column", "message", "hint"}, …]}}; unknown places are null.
std::string error_json(int code, const std::vector<Diagnostic>& diagnostics);

/// summary.json: {"case", "program_version", "quantities": [{study, name, at, positions, ripple, method, value, unit,
/// error, definition}], "flux_density": [{study, part, …}], "warnings"}.
std::string summary_json(const std::string& case_name, const Results& results);

}  // namespace polepitch
