// Meshes whose triangles stay under given edge lengths in some regions, for fields that live in a skin.
#pragma once

#include <vector>

#include "geometry/mesh.h"

namespace polepitch {

/// The mesh, or a new one of the same section in which no triangle of region r is longer than about largest[r] [m]
/// (0: no limit); other places keep their sizes, which grow by at most 1 m per m from there. Empty `largest`: no limit
/// anywhere.
Mesh limit_edges(const Section& section, Mesh mesh, const std::vector<double>& largest);

/// Whether a mesh that was made otherwise keeps such limits, by half more for single triangles.
bool keeps_limits(const Mesh& mesh, const std::vector<double>& largest);

}  // namespace polepitch
