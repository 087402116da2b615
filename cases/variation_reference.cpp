#include "cases/variation_reference.h"

#include "cases/interrupt.h"
#include "cases/run_studies.h"

namespace polepitch {
namespace {

FormerMeshes adapted(const Case& kase) {
  const Section section = draw_section(kase.machine);
  check_studies(kase, section);
  Results unseen;
  const CaseMeshes meshes = adapted_meshes(kase, section, unseen, [](const Mesh&) { throw_if_interrupted(); });
  return former_meshes(kase, section, meshes);
}

}  // namespace

VariationReference::VariationReference(const Case& kase) : former_(adapted(kase)) {}

std::optional<CaseMeshes> VariationReference::meshes(const Case& kase, const Section& section, Results& results) {
  return moved_meshes(kase, section, former_, results);
}

std::unique_ptr<VariationReference> variation_reference(const TomlNode& root, const std::string& case_path,
                                                        const std::string& text) {
  try {
    const Case kase = read_case(root, case_path, text);
    return kase.studies.empty() ? nullptr : std::make_unique<VariationReference>(kase);
  } catch (const Error&) {
    return nullptr;
  }
}

}  // namespace polepitch
