// `polepitch optimise`: a search over the designs of a case, with a store as its memory, and the case files of what it
// found.
#pragma once

#include <string>
#include <vector>

#include "cases/optimise_plan.h"
#include "cases/progress.h"

namespace polepitch {

struct OptimiseRequest {
  std::string case_path;
  std::string directory;
  int jobs = 1;  // threads that solve one design
};

/// A quantity that the search looks at, as the store labels it.
struct SoughtQuantity {
  std::string label, unit;
};

struct OptimisedDesign {
  std::vector<double> values;       // of the variables, in their units
  std::string key;                  // of its row in the store
  bool solved = false;              // every sought quantity is there
  std::string reason;               // why not
  std::vector<double> objectives;   // in their units
  std::vector<double> constraints;  // values of their quantities, in their units
  double missed = 0;                // largest share by which a constraint is missed
};

struct OptimiseReport {
  std::string case_name, title, directory, store_path;
  OptimisePlan plan;
  std::vector<SoughtQuantity> objectives, constraints;  // in the order of the plan
  std::vector<OptimisedDesign> designs;                 // in the order in which they were asked for; the start first
  std::vector<std::size_t> chosen;                      // the best design, or the front
  bool met = false;                                     // whether what is chosen meets the constraints
  bool arrived = true;                                  // no descent ended at its most designs
  std::size_t solved = 0, former = 0, failed = 0;       // of the designs: now, in the store before; without result
  std::vector<std::string> files;                       // case files of what is chosen, in that order
};

/// Throws the Error family and Interrupted; what is solved is in the store, and the same call goes on from it.
OptimiseReport run_optimise(const OptimiseRequest& request, Progress& progress);

/// The text of a case file in which these values stand in place of those at their places, comments and all; its own
/// material files and drawings are named as seen from `directory`. `opening` becomes a comment at its top.
std::string case_with_values(const std::string& text, const std::string& case_path, const std::string& directory,
                             const std::vector<TomlNode>& values, const std::string& opening);

std::string optimise_table(const OptimiseReport& report);
std::string optimise_json(const OptimiseReport& report);

/// What was least so far over the designs solved, and the front of two objectives; PNG and SVG.
void draw_optimise(const OptimiseReport& report);

}  // namespace polepitch
