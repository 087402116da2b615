// Where a mesh's nodes lie on the curves of its section: what stays the same when the section changes its measures and
// not its shape.
#pragma once

#include <vector>

#include "geometry/mesh.h"

namespace polepitch {

/// Whether two sections are the same but for their measures: the same sector, and points, curves and regions that
/// belong together in the same order. Materials, turns, currents and the stack's length may differ.
bool same_topology(const Section& one, const Section& other);

/// A node's place on a curve of its side.
struct CurvePlace {
  int curve = -1;    // index into SideSection::curves; −1: on none
  double share = 0;  // of the curve's length from its start, 0 … 1
};

/// One per node of the mesh, mid-side nodes included; a node where curves meet is at the end of one of them.
std::vector<CurvePlace> curve_places(const Section& section, const Mesh& mesh);

/// The point of a curve at a share of its length; the curve's own ends at 0 and 1.
Point point_at(const SideSection& side, CurvePlace place);

}  // namespace polepitch
