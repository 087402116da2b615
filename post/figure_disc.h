// What a field picture is drawn from: A on one triangulation of the whole disc (all sectors, annulus filled, rotor
// turned), so that flux lines run through unbroken; |B| per sector and in the annulus for the colour bands.
#pragma once

#include <span>
#include <vector>

#include "geometry/mesh.h"
#include "post/field_lines.h"
#include "solver/gap_field.h"

namespace polepitch {

struct NodalField {
  Triangulation mesh;
  std::vector<double> values;  // one per node
};

/// A [Wb/m] on the whole disc in the stator's frame. Second-order triangles are cut in four. Neighbouring sectors,
/// mesh and annulus share their nodes. `a`: one per mesh node. Where one order alone crosses the gap
/// (CageField::instant) the annulus stays open: the other waves end at its circles.
NodalField disc_potential(const Mesh& mesh, std::span<const double> a, const GapField& gap, double rotor_angle);

/// |B| [T] of one side's sector in its own frame. Averaged at nodes inside each region, never across regions (nodes on
/// their borders are double).
NodalField sector_flux_density(const Mesh& mesh, std::span<const double> a, Side side);

/// |B| [T] in the annulus, stator frame.
NodalField annulus_flux_density(const GapField& gap, int points, int circles);

/// Points around the annulus that suit the mesh's gap circles.
int annulus_points(const Mesh& mesh);

}  // namespace polepitch
