// One solver per worker thread: each keeps its own matrices and factor, all share section, mesh and materials.
#pragma once

#include <memory>
#include <mutex>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

class FieldPool {
 public:
  FieldPool(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options,
            int workers);
  int workers() const { return static_cast<int>(fields_.size()); }
  /// Made when first asked for.
  StaticField& of(int worker);

 private:
  const Section& section_;
  const Mesh& mesh_;
  const Materials& materials_;
  SolverOptions options_;
  std::vector<std::unique_ptr<StaticField>> fields_;
  std::mutex mutex_;
};

}  // namespace polepitch
