// The plane geometry of one straight line or circular arc: what the arrangement of a sketch is computed from. SI.
#pragma once

#include <string>
#include <vector>

#include "geometry/section.h"

namespace polepitch {

/// Straight from start to end, or an arc about `centre`. `part` names what it belongs to (index into Sketch::parts).
struct SketchCurve {
  Point start, end;
  bool arc = false;
  Point centre;
  bool ccw = true;
  int part = 0;
};

inline Point operator+(Point a, Point b) {
  return {a.x + b.x, a.y + b.y};
}
inline Point operator-(Point a, Point b) {
  return {a.x - b.x, a.y - b.y};
}
inline Point operator*(double s, Point a) {
  return {s * a.x, s * a.y};
}
inline double dot(Point a, Point b) {
  return a.x * b.x + a.y * b.y;
}
inline double cross(Point a, Point b) {
  return a.x * b.y - a.y * b.x;
}
double distance(Point a, Point b);
Point polar(double radius, double angle);
Point turned(Point p, double angle);                // about the origin
Point turned(Point p, double angle, Point centre);  // about a centre

/// Signed angle that an arc covers, rad: positive counter-clockwise, in (−2π, 2π); 0 of a straight line.
double sweep(const SketchCurve& curve);
Point middle(const SketchCurve& curve);

/// ½ ∮ (x dy − y dx) along the curve: loops of these sum to the exact area, arcs included.
double area_swept(const SketchCurve& curve);

/// Angle (rad, in turns of 2π once summed round a loop) that the curve covers as seen from q, which is not on it.
double angle_seen(const SketchCurve& curve, Point q);

/// True when p lies within `tolerance` of the curve and not at its ends.
bool lies_inside(const SketchCurve& curve, Point p, double tolerance);

/// Position of a point of the curve along it, growing from start to end.
double along(const SketchCurve& curve, Point p);

/// Points where two curves meet, ends included.
std::vector<Point> meetings(const SketchCurve& a, const SketchCurve& b, double tolerance);

/// Point of the curve at the straight distance rho from its start; rho is shorter than the chord.
Point near_start(const SketchCurve& curve, double rho);

SketchCurve reversed(const SketchCurve& curve);

}  // namespace polepitch
