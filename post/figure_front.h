// Designs in the plane of two objectives, and the front of those that none beats in both.
#pragma once

#include <string>
#include <vector>

#include "post/canvas.h"

namespace polepitch {

struct FrontFigure {
  std::string title, x_name, x_unit, y_name, y_unit;
  std::vector<Point> front;   // in the order in which they are numbered
  std::vector<Point> met;     // other designs that keep the constraints
  std::vector<Point> missed;  // and those that do not
  Point start;                // not drawn where it is not finite
  std::vector<Point> line;    // through the front and every other design that none beats; empty: through the front
};

Canvas draw_front_figure(const FrontFigure& figure);

}  // namespace polepitch
