// What a standstill frequency response says: curves, circuits fitted to it, reactances and time constants.
#pragma once

#include "cases/frequency_response.h"
#include "cases/study_tools.h"

namespace polepitch {

/// `at` names the state; `state` is its short name in curves ("initial", "load").
void report_response(StudyResult& result, StudyContext& context, const ResponseRequest& request,
                     const Response& response, const At& at, const std::string& state);

}  // namespace polepitch
