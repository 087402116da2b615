// `polepitch compare`: several runs' directories side by side, as a table, as JSON and as a page.
#pragma once

#include <string>
#include <vector>

#include "post/comparison.h"

namespace polepitch {

/// Reads summary.json, the curves and the sweep's store of each directory; labels are the directories' names, longer
/// where two are alike. Throws FileError where a directory holds neither run nor sweep and InputError where a file of
/// it cannot be read.
std::vector<RunRecord> read_runs(const std::vector<std::string>& directories);

/// The key results of a store's last sweep as quantities and curves of the record. Throws FileError.
void add_sweep(const std::string& store, RunRecord& run);

/// Key results and flux densities side by side, warnings; with `charts` every curve in characters too.
std::string comparison_table(const std::vector<RunRecord>& runs, const Comparison& comparison, bool charts);

/// {"runs": …, "quantities": [{study, name, at, unit, values: [{value, error, difference, relative, verdict}]}],
/// "flux_density": …}
std::string comparison_json(const std::vector<RunRecord>& runs, const Comparison& comparison);

/// Writes the page with the runs' pictures of section and fields. Throws FileError.
void write_comparison_page(const std::vector<RunRecord>& runs, const Comparison& comparison, const std::string& path);

}  // namespace polepitch
