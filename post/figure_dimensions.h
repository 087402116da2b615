// One side of the section with its dimensions: lines where they are measured, labels in two columns beside the drawing,
// so that none covers another. For the report page and paper.
#pragma once

#include <string>
#include <vector>

#include "geometry/dimension.h"
#include "post/canvas.h"

namespace polepitch {

struct DimensionLabel {
  Dimension dimension;
  bool left = false;
  Point anchor;  // page: where the leader meets the dimension
  double y = 0;  // page: middle of the label
};

struct DimensionLayout {
  double scale = 1;  // pt/m
  Point axis;        // page position of the machine axis
  double turn = 0;   // rad: the part shown stands upright
  std::vector<DimensionLabel> labels;
};

/// Where the dimensions of a side come to lie on the page. Labels keep at least their height apart.
DimensionLayout lay_out_dimensions(const std::vector<Dimension>& dimensions, Side side);

inline constexpr double dimension_label_height = 30;  // pt

/// "3.2 mm", with the sign of a diameter.
std::string dimension_text(const Dimension& dimension);

Canvas draw_dimensions_figure(const Section& section, const std::vector<Dimension>& dimensions, Side side,
                              const std::string& title);

}  // namespace polepitch
