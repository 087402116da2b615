#include "geometry/size_map.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace polepitch {
namespace {

// Edges near 0.6 of the gap keep the torque's error of the gap mesh under 1e-3; coarser ones do not, however fine the
// rest.
constexpr double kGapShare = 0.6;
constexpr double kEdgesPerPole = 48;    // at least, where the gap is wide
constexpr double kGrowth = 0.3;         // edge length per distance from the gap
constexpr double kFeatureGrowth = 0.5;  // edge length per distance from a corner
constexpr double kCorner = 0.6;         // a corner's share of the size around it
constexpr double kShortCurve = 1.5;     // edge length per length of a short curve
constexpr double kThinIron = 1.2;       // edge length per thickness of a bridge or rib of iron or magnet
constexpr double kThinOther = 3;        // edge length per thickness of a strip of anything else

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
  const double d = std::abs(std::sqrt(x * x + y * y) - gap_radius_);
  return std::min(gap_size_ + kGrowth * d, largest_) / density_;
}

double SizeMap::at(double x, double y) const {
  double size = base(x, y);
  const double growth = kFeatureGrowth / density_;
  for (const Feature& f : features_) {
    if (f.size >= size) break;  // smallest first
    const double reach = (size - f.size) / growth, dx = x - f.x, dy = y - f.y;
    const double square = dx * dx + dy * dy;
    if (square < reach * reach) size = f.size + growth * std::sqrt(square);
  }
  return size;
}

int SizeMap::gap_edges(double length) const {
  return std::max(1, static_cast<int>(std::ceil(length * density_ / gap_size_ - 1e-9)));
}

namespace {

/// Curves by their ends, and which of them bound iron or magnets (by region; empty for other curves).
struct Borders {
  std::vector<std::vector<int>> at_point;
  std::vector<std::vector<int>> magnetic;

  Borders(const Section& section, Side side) {
    const SideSection& s = section.sides[static_cast<int>(side)];
    at_point.resize(s.points.size());
    magnetic.resize(s.curves.size());
    for (size_t i = 0; i < s.curves.size(); ++i) {
      at_point[s.curves[i].start].push_back(static_cast<int>(i));
      at_point[s.curves[i].end].push_back(static_cast<int>(i));
    }
    for (size_t r = 0; r < section.regions.size(); ++r) {
      const Region& region = section.regions[r];
      if (region.side != side || (region.role != Role::core && region.role != Role::magnet)) continue;
      for (const auto& loop : region.loops)
        for (int entry : loop) magnetic[entry >= 0 ? entry : -1 - entry].push_back(static_cast<int>(r));
    }
  }
  bool share_magnetic(size_t a, size_t b) const {
    for (int r : magnetic[a])
      if (std::find(magnetic[b].begin(), magnetic[b].end(), r) != magnetic[b].end()) return true;
    return false;
  }
};

/// A corner of iron or magnet: two borders that do not run on smoothly.
bool is_corner(const SideSection& s, const Borders& borders, int point) {
  const std::vector<int>& curves = borders.at_point[point];
  bool magnetic = false;
  for (int c : curves) magnetic = magnetic || !borders.magnetic[c].empty();
  if (!magnetic || curves.size() < 2) return false;
  if (curves.size() > 2) return true;
  const Point u = direction_from(s, s.curves[curves[0]], point), v = direction_from(s, s.curves[curves[1]], point);
  return u.x * v.x + u.y * v.y > -0.95;
}

}  // namespace

void SizeMap::add(Point p, double size) {
  if (size < 0.95 * base(p.x, p.y)) features_.push_back({p.x, p.y, size});
}

void SizeMap::add_features(const Section& section, Side side) {
  const SideSection& s = section.sides[static_cast<int>(side)];
  const Borders borders(section, side);
  const auto on_gap_circle = [&](Point p) { return std::abs(std::hypot(p.x, p.y) - gap_radius_) < 1e-9; };
  for (size_t i = 0; i < s.points.size(); ++i) {
    const Point p = s.points[i];
    double size = base(p.x, p.y);
    if (!on_gap_circle(p) && is_corner(s, borders, static_cast<int>(i))) size *= kCorner;
    for (int c : borders.at_point[i]) size = std::min(size, kShortCurve * curve_length(s, s.curves[c]) / density_);
    add(p, size);
  }
  // Thin bridges, ribs and strips: the distance to the nearest curve that shares no point. The ring of air between the
  // gap circle and the iron is none: one element across it serves.
  for (size_t c = 0; c < s.curves.size(); ++c) {
    if (on_gap_circle(s.points[s.curves[c].start]) && s.curves[c].arc) continue;
    for (double t : {0.0, 0.25, 0.5, 0.75}) {
      const Point p = curve_point(s, s.curves[c], t);
      double size = 1e300;
      for (size_t o = 0; o < s.curves.size(); ++o) {
        const Curve &a = s.curves[c], &b = s.curves[o];
        if (o == c || b.start == a.start || b.end == a.end || b.start == a.end || b.end == a.start) continue;
        if (b.arc && on_gap_circle(s.points[b.start])) continue;
        const double near = distance_to_curve(s, b, p);
        size = std::min(size, (borders.share_magnetic(c, o) ? kThinIron : kThinOther) * near);
      }
      add(p, size / density_);
    }
  }
  prune();
}

/// Drops the features that a smaller one nearby already implies: the mesher asks for sizes a million times.
void SizeMap::prune() {
  std::sort(features_.begin(), features_.end(),
            [](const Feature& a, const Feature& b) { return std::tie(a.size, a.x, a.y) < std::tie(b.size, b.x, b.y); });
  std::vector<Feature> kept;
  for (const Feature& f : features_) {
    const bool implied = std::any_of(kept.begin(), kept.end(), [&](const Feature& k) {
      return k.size + kFeatureGrowth / density_ * std::hypot(f.x - k.x, f.y - k.y) <= 1.05 * f.size;
    });
    if (!implied) kept.push_back(f);
  }
  features_.swap(kept);
}

}  // namespace polepitch
