// One point of a sweep, solved in a process of its own: the mesher is not safe in threads, and what goes wrong there
// does not stop the others.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "cases/toml_tree.h"
#include "cases/variation_reference.h"
#include "cases/variation_store.h"

namespace polepitch {

/// A variation of the case file, to be solved.
struct PointTask {
  std::size_t number = 0;  // from 0, in the plan
  std::string key;
  std::string parameters;  // JSON, as it goes into the row
  TomlNode root;
  int threads = 1;
  VariationReference* reference = nullptr;  // whose meshes it may take
};

/// Solves here. Every fault of the Error family becomes the row's exit code and reason.
PointRow solve_point(const PointTask& task, const std::string& case_path, const std::string& text);

/// Up to `jobs` processes at once. `next` gives a task, or null when there is none left for now; `done` takes a row as
/// soon as its point is finished, from this thread. Points whose process was killed from outside are counted, not
/// handed over: they are not finished. Throws what `next` and `done` throw, and Interrupted; no process is left behind.
std::size_t solve_in_processes(int jobs, const std::string& case_path, const std::string& text,
                               const std::function<std::unique_ptr<PointTask>()>& next,
                               const std::function<void(const PointRow&)>& done);

}  // namespace polepitch
