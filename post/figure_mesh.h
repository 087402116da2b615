// One sector's mesh with its mid-side nodes on their arcs, and a detail at the gap.
#pragma once

#include <string>

#include "geometry/mesh.h"
#include "post/canvas.h"

namespace polepitch {

struct MeshFigureOptions {
  std::string title{};
  double detail_angle = 0;  // rad inside the sector, from its start; 0: the middle
};

Canvas draw_mesh_figure(const Section& section, const Mesh& mesh, const MeshFigureOptions& options = {});

}  // namespace polepitch
