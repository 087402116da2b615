// One sector's mesh with its mid-side nodes on their arcs, and a detail at the gap.
#pragma once

#include <string>

#include "geometry/mesh.h"
#include "post/canvas.h"

namespace polepitch {

struct MeshFigureOptions {
  std::string title{};
  double detail_angle = 0;  // rad inside the stator sector, from its start; 0: the middle of what both sectors cover
};

/// Either side's sector may be any of its copies: the rotor's is drawn as the copy that faces the stator's best.
struct FacingSectors {
  double rotor_turn = 0;  // rad, whole sectors: brings the rotor sector's middle nearest to the stator sector's
  double middle = 0;      // rad, stator frame: middle of the stretch both then cover, at least half a sector wide
};
FacingSectors facing_sectors(const Section& section);

Canvas draw_mesh_figure(const Section& section, const Mesh& mesh, const MeshFigureOptions& options = {});

}  // namespace polepitch
