// Reads a drawing in DXF, ASCII, R12 to R2018: what an outline of a lamination is drawn with, in SI, each curve with
// its layer and its line in the file.
#pragma once

#include <string>
#include <vector>

#include "geometry/error.h"
#include "geometry/sketch.h"

namespace polepitch {

struct DxfEntity {
  std::string type;   // "LINE"
  std::string layer;  // as the file spells it
  int line = 0;
};

/// A point or a text of the drawing: it can say what the area around it is.
struct DxfMark {
  Point at;
  std::string words;  // of a text; "" of a point
  std::string layer;
  int line = 0;
};

struct DxfDrawing {
  std::string path;
  double unit = 0;                  // m per unit of the drawing
  Sketch sketch;                    // `part` of each curve is its entity; arcs stay arcs, in pieces of at most 90°
  std::vector<DxfEntity> entities;  // one per part of the sketch
  std::vector<DxfMark> marks;
  std::vector<Diagnostic> warnings;  // what was left out
};

struct DxfOptions {
  double unit = 0;          // m; 0: what the drawing declares ($INSUNITS)
  double tolerance = 1e-6;  // m, of splines and ellipses drawn as arcs
};

/// LINE, ARC, CIRCLE, LWPOLYLINE and POLYLINE with bulges, SPLINE with control points, ELLIPSE, POINT, TEXT, MTEXT and
/// INSERT of blocks in one another (scaled, turned, mirrored, in rows and columns). Other entities, paper space and
/// layers that are frozen or off are left out with a warning. Throws InputError with every fault, FileError when the
/// file cannot be read.
DxfDrawing read_dxf(const std::string& path, const DxfOptions& options = {});
/// The same of the file's text; `path` is for messages.
DxfDrawing parse_dxf(const std::string& text, const std::string& path, const DxfOptions& options = {});

}  // namespace polepitch
