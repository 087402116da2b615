// How good a mesh is, and the mending of triangles that a curved edge turns inside out.
#pragma once

#include "geometry/mesh.h"

namespace polepitch {

/// Where an arc bows further than a coarse triangle is thick, its edges stay straight: all are drawn, none inside out.
void straighten_inverted(Mesh& mesh);

/// Of the straight corners; a smallest angle of 0 or less: a triangle is inside out.
MeshQuality measure_quality(const Mesh& mesh);

}  // namespace polepitch
