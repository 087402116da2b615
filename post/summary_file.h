// summary.json: every quantity of a run with its definition, for people and for programs.
#pragma once

#include <filesystem>
#include <string>

#include "post/results.h"

namespace polepitch {

/// Object with `case`, `program_version`, `quantities` (list of {study, name, at, positions, ripple, method, value,
/// unit, error, definition}; `at` an object; `ripple` null for one position, `error` null where there is no
/// discretisation), `flux_density` (list of {study, rows}), `phasors` (list of {study, name, convention, arrows;
/// q_axis_deg of a synchronous rotor}) and `warnings`. Throws std::logic_error when a value is not finite (a bug of the
/// quantity that gave it).
std::string summary_text(const std::string& case_name, const std::string& program_version, const Results& results);

/// Writes summary_text to `path`. Throws FileError.
void write_summary(const std::string& case_name, const std::string& program_version, const Results& results,
                   const std::filesystem::path& path);

}  // namespace polepitch
