// A quantity over two others on a tensor grid, with curves drawn over it: what contour pictures are made of.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "post/construction.h"

namespace polepitch {

struct ContourMap {
  std::string study, name;                                     // file name is study_name.png
  std::string title;                                           // a sentence for the picture
  std::string x_name, x_unit, y_name, y_unit, z_name, z_unit;  // "i_d", "A", …
  std::vector<double> x, y;                                    // ascending
  std::vector<double> z;                                       // at(x, y); not a number where there is none
  std::vector<double> y_of = {};                               // y of every value where rows bend; y spans the picture
  std::vector<double> levels = {};                             // of the contours; empty: tidy ones
  std::vector<ConstructionLine> lines = {};                    // over the contours, in x and y

  size_t at(size_t i, size_t j) const { return j * x.size() + i; }
};

}  // namespace polepitch
