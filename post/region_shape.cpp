#include "post/region_shape.h"

#include <cmath>

#include "geometry/curves.h"

namespace polepitch {

namespace {

SketchCurve curve_of(const Section& section, const Region& region, int entry) {
  const SideSection& side = section.sides[static_cast<int>(region.side)];
  const Curve& c = side.curves[entry >= 0 ? entry : -1 - entry];
  const SketchCurve curve{side.points[c.start], side.points[c.end], c.arc, c.centre, c.ccw, 0};
  return entry >= 0 ? curve : reversed(curve);
}

}  // namespace

Point centre_of_area(const Section& section, const Region& region) {
  double area = 0;
  Point moment;
  for (const std::vector<int>& loop : region.loops)
    for (int entry : loop) {
      const SketchCurve curve = curve_of(section, region, entry);
      const double triangle = cross(curve.start, curve.end) / 2;  // with the axis; signed
      area += triangle;
      moment = moment + (triangle / 3) * (curve.start + curve.end);
      if (!curve.arc) continue;
      // The segment between arc and chord: r²(φ − sin φ)/2, its moment about the arc's centre (2/3) r³ sin³(φ/2).
      const double r = distance(curve.start, curve.centre), phi = sweep(curve);
      const double segment = r * r * (phi - std::sin(phi)) / 2;
      area += segment;
      moment = moment + segment * curve.centre +
               (2.0 / 3 * r * r * std::pow(std::sin(phi / 2), 3)) * (middle(curve) - curve.centre);
    }
  return (1 / area) * moment;
}

double outline_length(const Section& section, const Region& region) {
  double length = 0;
  for (int entry : region.loops.at(0)) {
    const SketchCurve curve = curve_of(section, region, entry);
    length +=
        curve.arc ? std::abs(sweep(curve)) * distance(curve.start, curve.centre) : distance(curve.start, curve.end);
  }
  return length;
}

}  // namespace polepitch
