#include "cases/field_pool.h"

#include <algorithm>

namespace polepitch {

FieldPool::FieldPool(const Section& section, const Mesh& mesh, const Materials& materials, const SolverOptions& options,
                     int workers)
    : section_(section), mesh_(mesh), materials_(materials), options_(options), fields_(std::max(1, workers)) {}

StaticField& FieldPool::of(int worker) {
  std::unique_ptr<StaticField>& field = fields_[worker];
  if (!field) {
    auto fresh = std::make_unique<StaticField>(section_, mesh_, materials_, options_);
    const std::lock_guard<std::mutex> lock(mutex_);
    field = std::move(fresh);
  }
  return *field;
}

}  // namespace polepitch
