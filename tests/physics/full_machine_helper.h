// The whole machine from its sector: the sector's mesh copied round, edges merged, no symmetry left.
#pragma once

#include "geometry/mesh.h"

namespace polepitch::test {

struct FullMachine {
  Section section;  // sectors 1; regions and mesh copied, outlines are still the sector's
  Mesh mesh;
};

/// Branches stay as they are: copies of opposite sign carry turns (and magnets) of opposite sign. The shaft circle of
/// the whole machine floats, whatever the sector allowed.
FullMachine copy_round(const Section& section, const Mesh& mesh);

}  // namespace polepitch::test
