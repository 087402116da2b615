// The mesh of one section fitted to others of the same topology: the same triangles with their nodes moved, so that
// results change as smoothly as the geometry does.
#pragma once

#include <memory>
#include <optional>

#include "geometry/mesh.h"
#include "geometry/section.h"

namespace polepitch {

class MeshMover {
 public:
  /// Keeps copies.
  MeshMover(const Section& section, const Mesh& mesh);
  ~MeshMover();
  MeshMover(MeshMover&&) noexcept;

  const Mesh& mesh() const;

  /// Nodes on a curve keep their share of its length, those inside follow as in an elastic sheet whose triangles are
  /// the stiffer the smaller they are, those on the gap circles along them too (docs/theory.md). The same nodes bit for
  /// bit where the section is the same. Nothing where the topology differs, a triangle would become too sharp or turn
  /// inside out, or the edges on a gap circle too long for its gap.
  std::optional<Mesh> moved(const Section& to);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace polepitch
