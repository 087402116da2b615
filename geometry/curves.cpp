#include "geometry/curves.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

double radius_of(const SketchCurve& c) {
  return distance(c.start, c.centre);
}

// Angle from the start of an arc to p in the arc's own sense, in (−slack, 2π): a point just before the start counts as
// slightly negative, not as almost a full turn.
double angle_from_start(const SketchCurve& c, Point p) {
  const Point s = c.start - c.centre, q = p - c.centre;
  double angle = std::atan2(cross(s, q), dot(s, q));
  if (!c.ccw) angle = -angle;
  return angle < -1e-3 ? angle + 2 * pi : angle;
}

bool within(const SketchCurve& c, Point p, double tolerance) {
  if (distance(p, c.start) <= tolerance || distance(p, c.end) <= tolerance) return true;
  if (c.arc) {
    const double angle = angle_from_start(c, p);
    return angle > 0 && angle < std::abs(sweep(c));
  }
  const Point u = c.end - c.start;
  const double t = dot(p - c.start, u) / dot(u, u);
  return t > 0 && t < 1;
}

std::vector<Point> line_line(const SketchCurve& a, const SketchCurve& b) {
  const Point u = a.end - a.start, v = b.end - b.start;
  const double d = cross(u, v);
  if (std::abs(d) <= 1e-12 * std::sqrt(dot(u, u) * dot(v, v))) return {};
  return {a.start + cross(b.start - a.start, v) / d * u};
}

std::vector<Point> line_circle(const SketchCurve& line, Point centre, double r) {
  const Point u = line.end - line.start;
  const double length = std::sqrt(dot(u, u));
  const Point e = 1 / length * u;
  const Point foot = line.start + dot(centre - line.start, e) * e;
  const double h = distance(foot, centre), s2 = r * r - h * h;
  if (s2 < -1e-12 * r * r) return {};
  const double s = std::sqrt(std::max(s2, 0.0));
  return {foot + s * e, foot - s * e};
}

std::vector<Point> circle_circle(Point a, double ra, Point b, double rb) {
  const double d = distance(a, b);
  if (d < 1e-12 * (ra + rb)) return {};
  const double x = (d * d + ra * ra - rb * rb) / (2 * d), y2 = ra * ra - x * x;
  if (y2 < -1e-12 * ra * ra) return {};
  const double y = std::sqrt(std::max(y2, 0.0));
  const Point e = 1 / d * (b - a), n{-e.y, e.x};
  return {a + x * e + y * n, a + x * e - y * n};
}

}  // namespace

double distance(Point a, Point b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}
Point polar(double radius, double angle) {
  return {radius * std::cos(angle), radius * std::sin(angle)};
}
Point turned(Point p, double angle) {
  const double c = std::cos(angle), s = std::sin(angle);
  return {c * p.x - s * p.y, s * p.x + c * p.y};
}
Point turned(Point p, double angle, Point centre) {
  return centre + turned(p - centre, angle);
}

double sweep(const SketchCurve& c) {
  if (!c.arc) return 0;
  const Point s = c.start - c.centre, e = c.end - c.centre;
  double angle = std::atan2(cross(s, e), dot(s, e));
  if (c.ccw && angle <= 0) angle += 2 * pi;
  if (!c.ccw && angle >= 0) angle -= 2 * pi;
  return angle;
}

Point middle(const SketchCurve& c) {
  if (!c.arc) return 0.5 * (c.start + c.end);
  return turned(c.start, sweep(c) / 2, c.centre);
}

double area_swept(const SketchCurve& c) {
  const double chord = cross(c.start, c.end) / 2;
  if (!c.arc) return chord;
  const double phi = sweep(c), r = radius_of(c);
  return chord + r * r / 2 * (phi - std::sin(phi));
}

double angle_seen(const SketchCurve& c, Point q) {
  const Point a = c.start - q, b = c.end - q;
  double angle = std::atan2(cross(a, b), dot(a, b));
  // Between chord and arc the chord turns the wrong way round the point.
  if (c.arc && distance(q, c.centre) < radius_of(c)) {
    const double side = cross(c.end - c.start, q - c.start);
    const bool beyond_chord = c.ccw ? side < 0 : side > 0;
    if (beyond_chord) angle += c.ccw ? 2 * pi : -2 * pi;
  }
  return angle;
}

bool lies_inside(const SketchCurve& c, Point p, double tolerance) {
  if (distance(p, c.start) <= tolerance || distance(p, c.end) <= tolerance) return false;
  if (!within(c, p, tolerance)) return false;
  if (c.arc) return std::abs(distance(p, c.centre) - radius_of(c)) <= tolerance;
  const Point u = c.end - c.start;
  return std::abs(cross(u, p - c.start)) <= tolerance * std::sqrt(dot(u, u));
}

double along(const SketchCurve& c, Point p) {
  return c.arc ? angle_from_start(c, p) : dot(p - c.start, c.end - c.start);
}

std::vector<Point> meetings(const SketchCurve& a, const SketchCurve& b, double tolerance) {
  std::vector<Point> found;
  if (!a.arc && !b.arc) found = line_line(a, b);
  if (!a.arc && b.arc) found = line_circle(a, b.centre, radius_of(b));
  if (a.arc && !b.arc) found = line_circle(b, a.centre, radius_of(a));
  if (a.arc && b.arc) found = circle_circle(a.centre, radius_of(a), b.centre, radius_of(b));
  std::erase_if(found, [&](Point p) { return !within(a, p, tolerance) || !within(b, p, tolerance); });
  return found;
}

Point near_start(const SketchCurve& c, double rho) {
  if (!c.arc) return c.start + rho / distance(c.start, c.end) * (c.end - c.start);
  const double angle = 2 * std::asin(rho / (2 * radius_of(c)));
  return turned(c.start, c.ccw ? angle : -angle, c.centre);
}

SketchCurve reversed(const SketchCurve& c) {
  SketchCurve r = c;
  std::swap(r.start, r.end);
  r.ccw = !c.ccw;
  return r;
}

}  // namespace polepitch
