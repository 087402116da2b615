#include "geometry/curve_places.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "geometry/curves.h"

namespace polepitch {
namespace {

SketchCurve drawn(const SideSection& side, const Curve& c) {
  return {side.points[c.start], side.points[c.end], c.arc, c.centre, c.ccw, 0};
}

bool same(const Curve& a, const Curve& b) {
  return a.start == b.start && a.end == b.end && a.arc == b.arc && (!a.arc || a.ccw == b.ccw);
}

bool same(const SideSection& a, const SideSection& b) {
  return a.points.size() == b.points.size() && a.gap_curves == b.gap_curves && a.far_curves == b.far_curves &&
         a.start_edge == b.start_edge && a.end_edge == b.end_edge && (a.far_radius > 0) == (b.far_radius > 0) &&
         std::equal(a.curves.begin(), a.curves.end(), b.curves.begin(), b.curves.end(),
                    [](const Curve& one, const Curve& other) { return same(one, other); });
}

bool same(const Region& a, const Region& b) {
  return a.role == b.role && a.side == b.side && a.loops == b.loops && a.slot == b.slot && a.layer == b.layer;
}

struct Box {
  double left, right, low, high;
  bool holds(Point p) const { return p.x >= left && p.x <= right && p.y >= low && p.y <= high; }
};

/// Around the curve with `margin`; an arc's bow is at most the distance of its middle from the chord.
Box box_of(const SketchCurve& c, double margin) {
  const Point m = 0.5 * (c.start + c.end);
  const double reach = margin + (c.arc ? distance(middle(c), m) : 0);
  return {std::min(c.start.x, c.end.x) - reach, std::max(c.start.x, c.end.x) + reach,
          std::min(c.start.y, c.end.y) - reach, std::max(c.start.y, c.end.y) + reach};
}

/// −1 where the point is not on the curve.
double share_of(const SketchCurve& c, Point p, double tolerance) {
  double share = 0, off = 0;
  const Point from = c.start - (c.arc ? c.centre : c.start), to = p - (c.arc ? c.centre : c.start);
  if (c.arc) {
    share = std::atan2(cross(from, to), dot(from, to)) / sweep(c);
    off = std::abs(distance(p, c.centre) - distance(c.start, c.centre));
  } else {
    const Point along = c.end - c.start;
    share = dot(to, along) / dot(along, along);
    off = std::abs(cross(along, to)) / distance(c.start, c.end);
  }
  const double slack = tolerance / distance(c.start, c.end);
  if (off > tolerance || share < -slack || share > 1 + slack) return -1;
  return share < slack ? 0 : share > 1 - slack ? 1 : share;
}

}  // namespace

bool same_topology(const Section& one, const Section& other) {
  return one.sectors == other.sectors && one.sign == other.sign && same(one.sides[0], other.sides[0]) &&
         same(one.sides[1], other.sides[1]) &&
         std::equal(one.regions.begin(), one.regions.end(), other.regions.begin(), other.regions.end(),
                    [](const Region& a, const Region& b) { return same(a, b); });
}

std::vector<CurvePlace> curve_places(const Section& section, const Mesh& mesh) {
  std::vector<CurvePlace> places(mesh.nodes.size());
  for (const int s : {0, 1}) {
    const SideSection& side = section.sides[static_cast<size_t>(s)];
    const auto split = static_cast<size_t>(mesh.stator_nodes);
    const size_t begin = s == 0 ? 0 : split, end = s == 0 ? split : mesh.nodes.size();
    const double tolerance = 1e-9 * side.gap_radius;  // far above rounding, far below any triangle
    for (size_t c = 0; c < side.curves.size(); ++c) {
      const SketchCurve curve = drawn(side, side.curves[c]);
      const Box box = box_of(curve, tolerance);
      for (size_t n = begin; n < end; ++n) {
        if (places[n].curve >= 0 || !box.holds(mesh.nodes[n])) continue;
        const double share = share_of(curve, mesh.nodes[n], tolerance);
        if (share >= 0) places[n] = {static_cast<int>(c), share};
      }
    }
  }
  return places;
}

Point point_at(const SideSection& side, CurvePlace place) {
  const Curve& curve = side.curves[static_cast<size_t>(place.curve)];
  const SketchCurve c = drawn(side, curve);
  if (place.share == 0) return c.start;
  if (place.share == 1) return c.end;
  if (c.arc) return turned(c.start, place.share * sweep(c), c.centre);
  return c.start + place.share * (c.end - c.start);
}

}  // namespace polepitch
