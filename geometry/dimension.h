// Dimensions of a section as a drawing shows them: slot shapes, stator and rotor types state theirs where they draw
// (SideDrawing::dimensions). SI.
#pragma once

#include <string>
#include <vector>

#include "geometry/section.h"

namespace polepitch {

struct Machine;

/// A length between two points of a side's own frame (rotor at angle 0), or a diameter about the machine axis.
struct Dimension {
  std::string name;       // "opening width", shown
  std::string parameter;  // "stator.slot.opening_width", which sets it; "" where it follows from others
  Side side = Side::stator;
  Point from, to;
  bool diameter = false;
};

double length_of(const Dimension& dimension);

/// Of both sides, stator first, diameters first. Throws as draw_section does.
std::vector<Dimension> dimensions_of(const Machine& machine);

}  // namespace polepitch
