// What the case file says of the areas of a drawing: [[stator.area]] and [[rotor.area]].
#pragma once

#include <string>
#include <vector>

#include "geometry/drawing.h"

namespace polepitch {

/// One table: which areas it means, and what they are.
struct AreaRule {
  std::string path;  // "rotor.area 2"
  Place place;
  std::string layer, text;  // of the drawing; * stands for any letters; "" is not asked for
  bool has_seed = false;
  Point seed;

  Role role = Role::air;
  bool damper = false;  // a bar that carries no current in a static field
  std::string material;
  int turns = 0;  // of a coil side of the field winding
  Magnetisation::Pattern pattern = Magnetisation::Pattern::none;
  enum class From { x_axis, radius, long_side } from = From::long_side;
  double direction = 0;  // rad
  bool reversed = false;
};

/// The declared parameters of these tables.
const std::vector<Parameter>& area_parameters();

/// Rules of a drawn side; what contradicts itself goes into `faults`.
std::vector<AreaRule> area_rules(const Machine& machine, const Block& side, Faults& faults);

/// Whether a name fits a pattern in which * stands for any letters; capitals do not count.
bool fits_pattern(const std::string& pattern, const std::string& name);

}  // namespace polepitch
