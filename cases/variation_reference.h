// The machine of the file itself, whose meshes are adapted once before its variations: those of the same topology take
// them with their nodes moved. A variation's results then follow from it and the file alone, whatever was solved
// before.
#pragma once

#include <memory>
#include <optional>

#include "cases/adaption.h"
#include "cases/toml_tree.h"

namespace polepitch {

class VariationReference {
 public:
  explicit VariationReference(const Case& kase);

  /// Nothing where the variation needs meshes of its own. Adds what was done to `results`.
  std::optional<CaseMeshes> meshes(const Case& kase, const Section& section, Results& results);

 private:
  FormerMeshes former_;
};

/// Null where the file's own machine has no study or cannot be solved: each variation then takes its own meshes.
/// Throws Interrupted.
std::unique_ptr<VariationReference> variation_reference(const TomlNode& root, const std::string& case_path,
                                                        const std::string& text);

}  // namespace polepitch
