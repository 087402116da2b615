#include "geometry/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace polepitch {

namespace {

Point unit(Point p) {
  const double length = std::sqrt(dot(p, p));
  return length > 0 ? 1 / length * p : Point{0, 0};
}

// The arc that leaves a in the direction d and ends in b; a straight line when it is as good as one.
SketchCurve leaving(Point a, Point d, Point b, int part) {
  const Point chord = b - a;
  const double across = cross(d, chord), length2 = dot(chord, chord);
  SketchCurve c{a, b, false, {}, true, part};
  if (std::abs(across) <= 1e-9 * std::sqrt(length2) || length2 == 0) return c;
  const double radius = length2 / (2 * across);  // positive to the left
  c.arc = true;
  c.ccw = radius > 0;
  c.centre = a + radius * Point{-d.y, d.x};
  return c;
}

// Two arcs with the directions of both ends and one direction where they meet; the distances of the corner points of
// the control polygon from both ends are equal.
std::vector<SketchCurve> arc_pair(CurvePoint p, CurvePoint q, int part) {
  const Point t0 = unit(p.direction), t1 = unit(q.direction), v = q.at - p.at, t = t0 + t1;
  const double vv = dot(v, v), vt = dot(v, t), denominator = 2 * (1 - dot(t0, t1));
  if (vv == 0) return {};
  double d = 0;
  if (denominator > 1e-12)
    d = (-vt + std::sqrt(std::max(vt * vt + denominator * vv, 0.0))) / denominator;
  else if (std::abs(dot(v, t1)) > 1e-12 * std::sqrt(vv))
    d = vv / (4 * dot(v, t1));
  if (!(d > 0) || !std::isfinite(d)) return {{p.at, q.at, false, {}, true, part}};
  const Point joint = 0.5 * (p.at + q.at + d * (t0 - t1));
  const SketchCurve last = reversed(leaving(q.at, -1 * t1, joint, part));
  return {leaving(p.at, t0, joint, part), last};
}

double distance_to(const SketchCurve& c, Point p) {
  if (c.arc) return std::abs(distance(p, c.centre) - distance(c.start, c.centre));
  const Point u = c.end - c.start;
  const double length2 = dot(u, u);
  const double t = length2 > 0 ? std::clamp(dot(p - c.start, u) / length2, 0.0, 1.0) : 0;
  return distance(p, c.start + t * u);
}

bool fits(const std::vector<SketchCurve>& pieces, const SmoothCurve& curve, double from, double to, double tolerance) {
  for (const SketchCurve& piece : pieces)
    if (std::abs(sweep(piece)) > 1.6) return false;
  for (int i = 1; i < 8; ++i) {
    const Point p = curve(from + (to - from) * i / 8).at;
    double nearest = 1e300;
    for (const SketchCurve& piece : pieces) nearest = std::min(nearest, distance_to(piece, p));
    if (!(nearest <= tolerance)) return false;
  }
  return true;
}

void add_span(Sketch& sketch, const SmoothCurve& curve, double from, double to, double tolerance, int part, int depth) {
  const std::vector<SketchCurve> pieces = arc_pair(curve(from), curve(to), part);
  const double middle = from + (to - from) / 2;
  if (depth > 0 && !fits(pieces, curve, from, to, tolerance)) {
    add_span(sketch, curve, from, middle, tolerance, part, depth - 1);
    add_span(sketch, curve, middle, to, tolerance, part, depth - 1);
    return;
  }
  for (const SketchCurve& piece : pieces)
    if (piece.arc)
      add_arc(sketch, piece.start, piece.end, piece.centre, piece.ccw, part);
    else
      add_line(sketch, piece.start, piece.end, part);
}

}  // namespace

void add_smooth(Sketch& sketch, const SmoothCurve& curve, double from, double to, double tolerance, int part) {
  const double middle = from + (to - from) / 2;  // never one span: a closed curve begins where it ends
  add_span(sketch, curve, from, middle, tolerance, part, 10);
  add_span(sketch, curve, middle, to, tolerance, part, 10);
}

}  // namespace polepitch
