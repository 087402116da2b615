// Curves that are neither straight nor circular, drawn as pairs of arcs that meet without a corner. SI.
#pragma once

#include <functional>

#include "geometry/sketch.h"

namespace polepitch {

/// Point and direction of travel (any length but 0) at a parameter.
struct CurvePoint {
  Point at, direction;
};
using SmoothCurve = std::function<CurvePoint(double t)>;

/// Adds arcs (and straight pieces) that keep within `tolerance` of the curve between the parameters, measured at points
/// of the curve; its direction is kept at every joint. Fewer than 4096 pieces, whatever the tolerance.
void add_smooth(Sketch& sketch, const SmoothCurve& curve, double from, double to, double tolerance, int part);

}  // namespace polepitch
