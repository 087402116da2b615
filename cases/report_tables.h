// Tables of the report page that say what was given: machine, materials, winding, what each study was asked.
#pragma once

#include <vector>

#include "cases/run_studies.h"
#include "post/report_page.h"

namespace polepitch {

/// Rating, dimensions of both sides as the case states them, winding with its coil sides, materials.
std::vector<ReportTable> machine_tables(const Case& kase, const Section& section);

/// What one study was asked: its parameters, and which of them are defaults. None when it has no parameters.
ReportTable asked_table(const Block& study);

/// Mesh, sector, times and version of the run.
ReportTable run_table(const Section& section, const Mesh& mesh, const SolvedStudies& solved, double seconds);

}  // namespace polepitch
