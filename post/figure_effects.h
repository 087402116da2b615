// Main effects: the mean of a quantity at each level of each parameter, one panel a parameter, one scale for all.
#pragma once

#include <string>
#include <vector>

#include "post/canvas.h"

namespace polepitch {

struct Effect {
  std::string name, unit;      // of the parameter
  std::vector<double> levels;  // ascending
  std::vector<double> means;   // over all points at that level
};

/// The steeper a panel, the more the parameter matters. The mean over everything is a dashed line. Throws
/// std::logic_error where levels and means differ in number.
Canvas draw_effects_figure(const std::vector<Effect>& effects, double mean, const std::string& quantity,
                           const std::string& unit, const std::string& title);

}  // namespace polepitch
