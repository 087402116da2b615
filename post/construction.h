// A drawing-board construction of a test standard kept as data: named points and lines in one plane, from which the
// picture is drawn and the numbers can be read again.
#pragma once

#include <string>
#include <vector>

namespace polepitch {

struct ConstructionPoint {
  std::string name;  // short, as the picture shows it: "A", "i_f0"
  double x = 0, y = 0;
  std::string meaning;  // one phrase
};

struct ConstructionLine {
  enum class Kind { curve, straight, help, arrow };
  std::string name;          // "no-load curve"
  std::vector<double> x, y;  // in the plane's units
  Kind kind = Kind::curve;   // a measured curve, a straight line, a thin line of help, a phasor with its head
};

struct Construction {
  std::string study, name;  // file name is study_name.png
  std::string title;        // a sentence for the picture
  std::string source;       // the standard whose construction it is
  std::string x_name, x_unit, y_name, y_unit;
  bool equal_scales = false;  // phasors: one unit has the same length along both axes
  std::vector<ConstructionLine> lines;
  std::vector<ConstructionPoint> points;
};

/// The point of that name. Throws std::logic_error when there is none.
const ConstructionPoint& point_of(const Construction& construction, const std::string& name);

}  // namespace polepitch
