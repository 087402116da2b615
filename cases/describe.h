// What can be said of a machine before any field is solved: winding, fill, resistances, masses, mesh.
#pragma once

#include <string>

#include "cases/case.h"
#include "geometry/mesh.h"
#include "post/results.h"

namespace polepitch {

/// Quantities of the study "description", and the curves winding_factors and mmf of a wound machine.
Results describe_machine(const Case& kase, const Section& section, const Mesh& mesh);

/// Pictures of section with winding and of the mesh, PNG and SVG, into `directory`; returns the files' names.
std::vector<std::string> draw_description(const Case& kase, const Section& section, const Mesh& mesh,
                                          const std::string& directory);

}  // namespace polepitch
