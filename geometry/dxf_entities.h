// From the entities of a DXF file to curves and marks, with blocks inserted.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "geometry/dxf_groups.h"
#include "geometry/dxf_reader.h"

namespace polepitch {

/// x' = a x + c y + e, y' = b x + d y + f.
struct Affine {
  double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;

  Point operator()(Point p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
  Point direction(Point p) const { return {a * p.x + c * p.y, b * p.x + d * p.y}; }
  double determinant() const { return a * d - b * c; }
  /// Circles stay circles.
  bool similar() const;
};
/// First `inner`, then `outer`.
Affine combined(const Affine& outer, const Affine& inner);

struct DxfBlock {
  std::string name;
  Point base;
  std::vector<DxfRecord> entities;
};

struct DxfContent {
  double unit = 0;                         // m, of $INSUNITS; 0 when it is not declared
  std::map<std::string, DxfBlock> blocks;  // by name in small letters
  std::set<std::string> hidden;            // layers that are frozen or off, in small letters
  std::vector<DxfRecord> entities;
};

std::string small_letters(std::string text);

/// Draws all entities in metres into `drawing`; what is wrong goes into `faults`.
void draw_entities(const DxfContent& content, double unit, double tolerance, DxfDrawing& drawing, DxfFaults& faults);

}  // namespace polepitch
