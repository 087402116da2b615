// What keeps a drawing from being closed areas: found all at once, with the entity's line and the place.
#pragma once

#include <vector>

#include "geometry/dxf_reader.h"

namespace polepitch {

struct DrawingFault {
  enum class Kind { gap, open_end, crossing, drawn_twice } kind = Kind::gap;
  Point at;
  Diagnostic diagnostic;
};

/// End points closer than `snap` [m] count as one. Two loose ends within 200 × snap are a gap, others are open ends;
/// lines that cross or lie on one another are found too. In the order of the lines of the file.
std::vector<DrawingFault> drawing_faults(const DxfDrawing& drawing, double snap);

}  // namespace polepitch
