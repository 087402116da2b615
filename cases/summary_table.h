// The ten-second summary that a run prints.
#pragma once

#include <string>

#include "post/results.h"

namespace polepitch {

/// Key results of each study with ripple and error, flux density against limits, warnings. UTF-8, no colours.
std::string summary_table(const std::string& title, const Results& results);

}  // namespace polepitch
