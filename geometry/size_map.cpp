#include "geometry/size_map.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

// Edges near 0.6 of the gap keep the torque's error of the gap mesh under 1e-3; coarser ones do not, however fine the
// rest.
constexpr double kGapShare = 0.6;
constexpr double kEdgesPerPole = 48;     // at least, where the gap is wide
constexpr double kGrowth = 0.22;         // edge length per distance from the gap
constexpr double kFeatureGrowth = 0.30;  // edge length per distance from a corner
constexpr double kCorner = 0.45;         // a corner's share of the size around it

double distance(Point a, Point b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

double curve_length(const SideSection& s, const Curve& c) {
  const Point a = s.points[c.start], b = s.points[c.end];
  const double chord = distance(a, b);
  if (!c.arc) return chord;
  const double r = distance(a, c.centre);
  return 2 * r * std::asin(std::min(1.0, chord / (2 * r)));
}

Point curve_point(const SideSection& s, const Curve& c, double t) {
  const Point a = s.points[c.start], b = s.points[c.end];
  if (!c.arc) return {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
  const double r = distance(a, c.centre);
  const double from = std::atan2(a.y - c.centre.y, a.x - c.centre.x);
  double sweep = std::atan2(b.y - c.centre.y, b.x - c.centre.x) - from;
  if (c.ccw && sweep <= 0) sweep += 2 * M_PI;
  if (!c.ccw && sweep >= 0) sweep -= 2 * M_PI;
  return {c.centre.x + r * std::cos(from + t * sweep), c.centre.y + r * std::sin(from + t * sweep)};
}

double distance_to_curve(const SideSection& s, const Curve& c, Point p) {
  double best = 1e300;
  if (!c.arc) {
    const Point a = s.points[c.start], b = s.points[c.end];
    const double dx = b.x - a.x, dy = b.y - a.y;
    const double t = std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
    return distance(p, {a.x + t * dx, a.y + t * dy});
  }
  const int pieces = 8;
  for (int i = 0; i <= pieces; ++i) best = std::min(best, distance(p, curve_point(s, c, double(i) / pieces)));
  return best;
}

Point direction_from(const SideSection& s, const Curve& c, int point) {
  const Point p = s.points[point];
  const Point q = curve_point(s, c, c.start == point ? 0.02 : 0.98);
  const double d = distance(p, q);
  return {(q.x - p.x) / d, (q.y - p.y) / d};
}

}  // namespace

SizeMap::SizeMap(const Section& section, Side side, double density) : density_(density) {
  gap_radius_ = section.gap_circle(side);
  const double pole_pitch = M_PI * gap_radius_ / section.pole_pairs;
  gap_size_ = std::min(kGapShare * section.gap(), pole_pitch / kEdgesPerPole);
  const double far = section.sides[static_cast<int>(side)].far_radius;
  largest_ = std::max({std::abs(far - gap_radius_) / 4, pole_pitch / 12, gap_size_});
  add_features(section, side);
}

double SizeMap::base(double x, double y) const {
  const double d = std::abs(std::hypot(x, y) - gap_radius_);
  return std::min(gap_size_ + kGrowth * d, largest_) / density_;
}

double SizeMap::at(double x, double y) const {
  double size = base(x, y);
  for (const Feature& f : features_) {
    if (f.size >= size) continue;
    size = std::min(size, f.size + kFeatureGrowth / density_ * std::hypot(x - f.x, y - f.y));
  }
  return size;
}

int SizeMap::gap_edges(double length) const {
  return std::max(1, static_cast<int>(std::ceil(length * density_ / gap_size_ - 1e-9)));
}

void SizeMap::add_features(const Section& section, Side side) {
  const SideSection& s = section.sides[static_cast<int>(side)];
  std::vector<std::vector<int>> at_point(s.points.size());
  for (size_t i = 0; i < s.curves.size(); ++i) {
    at_point[s.curves[i].start].push_back(static_cast<int>(i));
    at_point[s.curves[i].end].push_back(static_cast<int>(i));
  }
  auto add = [&](Point p, double size) {
    if (size < 0.95 * base(p.x, p.y)) features_.push_back({p.x, p.y, size});
  };
  for (size_t i = 0; i < s.points.size(); ++i) {
    const Point p = s.points[i];
    const bool on_gap_circle = std::abs(std::hypot(p.x, p.y) - gap_radius_) < 1e-9;
    double size = base(p.x, p.y);
    bool corner = false;
    for (int a : at_point[i])
      for (int b : at_point[i])
        if (a < b) {
          const Point u = direction_from(s, s.curves[a], static_cast<int>(i));
          const Point v = direction_from(s, s.curves[b], static_cast<int>(i));
          corner = corner || (at_point[i].size() == 2 && u.x * v.x + u.y * v.y > -0.95);
        }
    if (corner || at_point[i].size() > 2) size *= on_gap_circle ? 1 : kCorner;
    for (int a : at_point[i]) size = std::min(size, 0.7 * curve_length(s, s.curves[a]) / density_);
    add(p, size);
  }
  // Thin bridges and ribs: the distance to the nearest curve that shares no point.
  for (const Curve& c : s.curves)
    for (double t : {0.0, 0.25, 0.5, 0.75}) {
      const Point p = curve_point(s, c, t);
      double near = 1e300;
      for (const Curve& other : s.curves) {
        if (&other == &c || other.start == c.start || other.end == c.end || other.start == c.end ||
            other.end == c.start)
          continue;
        near = std::min(near, distance_to_curve(s, other, p));
      }
      add(p, 0.8 * near / density_);
    }
}

}  // namespace polepitch
