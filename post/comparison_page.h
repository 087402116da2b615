// Several runs on one HTML page that needs no network: tables with differences, charts with a line a run, pictures side
// by side.
#pragma once

#include <string>
#include <vector>

#include "post/comparison.h"
#include "post/report_page.h"

namespace polepitch {

/// The same picture of every run that has it.
struct PictureRow {
  std::string title;
  std::vector<ReportPicture> pictures;  // titled by the run's label
};

std::string comparison_page(const std::vector<RunRecord>& runs, const Comparison& comparison,
                            const std::vector<PictureRow>& pictures, const std::string& program_version);

}  // namespace polepitch
