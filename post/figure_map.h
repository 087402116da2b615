// A contour map as a picture: bands whose lightness falls with the value, labelled lines (dashed below zero, the zero
// line thick) and curves over it, so that it reads without colour too.
#pragma once

#include "post/canvas.h"
#include "post/contour_map.h"

namespace polepitch {

/// `machine_title` stands before the study under the title. Throws std::logic_error where the lists of the map do not
/// go together (a bug of the study).
Canvas draw_map_figure(const ContourMap& map, const std::string& machine_title = "");

/// Multiples of a tidy step inside the values' range, about fourteen.
std::vector<double> tidy_levels(const std::vector<double>& values);

}  // namespace polepitch
