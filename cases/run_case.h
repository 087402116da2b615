// The whole program from a case file to its results: read this page first.
#pragma once

#include <string>
#include <vector>

#include "cases/progress.h"
#include "geometry/error.h"
#include "post/results.h"

namespace polepitch {

struct RunRequest {
  std::string case_path;
  std::string directory;  // "" = the case's name in the current directory
  int jobs = 1;           // worker threads
  bool solve = true;      // false: stop after the description (`polepitch check`)
  std::string drawing{};  // DXF file of the section, "" for none
};

struct RunReport {
  std::string case_name;
  std::string title;
  std::string directory;
  Results results;
  std::vector<Diagnostic> failed;  // studies that gave no result although the others did
};

/// Throws the Error family and Interrupted; what is written is whole.
RunReport run_case(const RunRequest& request, Progress& progress);

}  // namespace polepitch
