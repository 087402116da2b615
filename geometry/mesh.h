// Second-order triangles of one sector of both sides, up to the two gap circles. Gmsh's node order: corners 0 1 2
// counter-clockwise, mid-side nodes 3 (0–1), 4 (1–2), 5 (2–0); mid-side nodes on arcs lie on their arcs (but where
// that would turn a coarse triangle inside out: there the edge is straight).
#pragma once

#include <array>
#include <vector>

#include "geometry/section.h"

namespace polepitch {

struct MeshOptions {
  double density = 1;  // edges per length, relative to the built-in sizes
  bool second_order = true;
  const struct WantedSizes* adapted = nullptr;  // geometry/size_field.h; instead of the built-in sizes
};

/// Nodes of a circle of the sector in counter-clockwise order, corner and mid-side nodes in turn, both ends included
/// (a full circle repeats its first node at the end).
struct TraceCircle {
  double radius = 0;
  std::vector<int> nodes;
};

/// Node `slave` carries Section::sign times the value of `master` (the start edge is the master).
struct NodePair {
  int slave = 0, master = 0;
};

struct MeshQuality {
  double smallest_angle = 0;  // rad, over all corners
  double mean_shape = 0;      // 2 × inscribed / circumscribed radius, 1 is equilateral
  double worst_shape = 0;
};

struct Mesh {
  std::vector<Point> nodes;                   // stator nodes first, then rotor nodes (rotor angle 0)
  std::vector<std::array<int, 6>> triangles;  // stator first; first order leaves entries 3–5 at −1
  std::vector<int> region;                    // index into Section::regions, per triangle
  int stator_nodes = 0;
  int stator_triangles = 0;
  TraceCircle gap[2];  // [Side]
  TraceCircle far[2];  // outer surface; shaft circle (empty when there is none)
  std::vector<NodePair> pairs;
  int order = 2;
  int sectors = 1;
  int sign = 1;
  MeshQuality quality;

  double triangles_per_pole(int pole_pairs) const {
    return static_cast<double>(triangles.size()) * sectors / (2.0 * pole_pairs);
  }
};

/// Adapted meshes keep the gap circles' edges at most as long as the built-in sizes of density 1 make them.
/// Deterministic: the same section and options give the same mesh bit for bit. Not thread-safe (Gmsh).
Mesh mesh_section(const Section& section, const MeshOptions& options);

}  // namespace polepitch
