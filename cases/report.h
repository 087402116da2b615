// report.html of a run: gathers what the run knows about machine, studies and files for post/report_page.h.
#pragma once

#include "cases/run_case.h"
#include "cases/run_studies.h"

namespace polepitch {

struct ReportInput {
  const Case& kase;
  const Section& section;
  const Mesh& mesh;
  const SolvedStudies& solved;
  const RunReport& report;
  double seconds = 0;  // the run so far
};

/// Writes DIR/report.html from the results and the pictures that stand in DIR. Throws FileError.
void write_report(const ReportInput& input);

}  // namespace polepitch
