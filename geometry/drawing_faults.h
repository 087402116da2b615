// What keeps a drawing from being closed areas: found all at once, with the entity's line and the place.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "geometry/dxf_reader.h"

namespace polepitch {

struct DrawingFault {
  enum class Kind { gap, open_end, crossing, drawn_twice, no_role, no_symmetry } kind = Kind::gap;
  Point at;
  Diagnostic diagnostic;
  int part = -1, other = -1;  // entities; −1: none
};

/// A drawing that is no section: exit code 4, every fault with its place.
struct DrawingError : Error {
  DrawingError(const DxfDrawing& drawn, std::vector<DrawingFault> found);
  std::shared_ptr<const DxfDrawing> drawing;
  std::vector<DrawingFault> faults;
};

/// "near (12.3000, 4.5000) mm"
std::string place_words(Point p);
/// A fault told at the line of an entity.
DrawingFault drawing_fault(const DxfDrawing& drawing, DrawingFault::Kind kind, int part, Point at,
                           const std::string& words, const std::string& hint);

/// End points closer than `snap` [m] count as one. Two loose ends within 200 × snap are a gap, others are open ends;
/// lines that cross or lie on one another are found too. In the order of the lines of the file.
std::vector<DrawingFault> drawing_faults(const DxfDrawing& drawing, double snap);

}  // namespace polepitch
