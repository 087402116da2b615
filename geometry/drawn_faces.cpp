// Questions about the faces of a drawn side.
#include <algorithm>
#include <cmath>

#include "geometry/drawn_side.h"
#include "geometry/pole_parts.h"

namespace polepitch {

namespace {

SketchCurve directed(const Network& network, int entry) {
  const SketchCurve c = drawn(network, entry < 0 ? -1 - entry : entry);
  return entry < 0 ? reversed(c) : c;
}

double length_of(const SketchCurve& c) {
  return c.arc ? std::abs(sweep(c)) * distance(c.start, c.centre) : distance(c.start, c.end);
}

// Unit vector to the left of the curve in its middle.
Point left_normal(const SketchCurve& c) {
  if (!c.arc) {
    const Point u = c.end - c.start;
    return 1 / distance(c.start, c.end) * Point{-u.y, u.x};
  }
  const Point m = middle(c) - c.centre;
  return (c.ccw ? -1.0 : 1.0) / std::hypot(m.x, m.y) * m;
}

double clearance(const Network& network, const std::vector<Loop>& loops, const DrawnFace& face, Point p) {
  double least = 1e300;
  std::vector<int> all = face.holes;
  all.push_back(face.outer);
  for (int l : all)
    for (int entry : loops[static_cast<std::size_t>(l)].curves)
      least = std::min(least, distance_to(drawn(network, entry < 0 ? -1 - entry : entry), p));
  return least;
}

}  // namespace

// A curve is a bridge when no way round it leads back before its start (depth-first numbers of the points).
std::vector<int> bridges(const Network& network) {
  std::vector<std::vector<std::pair<int, int>>> next(network.points.size());  // point, curve
  for (std::size_t c = 0; c < network.curves.size(); ++c) {
    const Curve& curve = network.curves[c];
    next[static_cast<std::size_t>(curve.start)].push_back({curve.end, static_cast<int>(c)});
    next[static_cast<std::size_t>(curve.end)].push_back({curve.start, static_cast<int>(c)});
  }
  struct Visit {
    int point, by;
    std::size_t at = 0;
  };
  std::vector<int> number(network.points.size(), -1), low(network.points.size(), 0), found;
  int count = 0;
  for (std::size_t root = 0; root < next.size(); ++root) {
    if (number[root] >= 0) continue;
    std::vector<Visit> stack = {{static_cast<int>(root), -1}};
    number[root] = low[root] = count++;
    while (!stack.empty()) {
      Visit& visit = stack.back();
      const auto p = static_cast<std::size_t>(visit.point);
      if (visit.at < next[p].size()) {
        const auto [to, curve] = next[p][visit.at++];
        const auto q = static_cast<std::size_t>(to);
        if (curve == visit.by) continue;
        if (number[q] >= 0) {
          low[p] = std::min(low[p], number[q]);
        } else {
          number[q] = low[q] = count++;
          stack.push_back({to, curve});
        }
        continue;
      }
      const int by = visit.by;
      stack.pop_back();
      if (stack.empty()) continue;
      const auto before = static_cast<std::size_t>(stack.back().point);
      low[before] = std::min(low[before], low[p]);
      if (low[p] > number[before]) found.push_back(by);
    }
  }
  return found;
}

bool inside_face(const Network& network, const std::vector<Loop>& loops, const DrawnFace& face, Point p) {
  if (!encloses(network, loops[static_cast<std::size_t>(face.outer)], p)) return false;
  return std::none_of(face.holes.begin(), face.holes.end(),
                      [&](int l) { return encloses(network, loops[static_cast<std::size_t>(l)], p); });
}

Point inner_point(const Network& network, const std::vector<Loop>& loops, const DrawnFace& face) {
  std::vector<SketchCurve> curves;
  for (int entry : loops[static_cast<std::size_t>(face.outer)].curves) curves.push_back(directed(network, entry));
  std::stable_sort(curves.begin(), curves.end(),
                   [](const SketchCurve& a, const SketchCurve& b) { return length_of(a) > length_of(b) * (1 + 1e-9); });
  if (curves.size() > 4) curves.resize(4);
  Point best;
  double most = -1;
  const auto consider = [&](Point p) {
    if (!inside_face(network, loops, face, p)) return false;
    const double free = clearance(network, loops, face, p);
    if (free > most) most = free, best = p;
    return true;
  };
  consider(face.centroid);
  for (const SketchCurve& c : curves) {
    int found = 0;
    for (double h = 0.5 * length_of(c); h > 1e-6 * length_of(c) && found < 3; h *= 0.4)
      found += consider(middle(c) + h * left_normal(c));
  }
  return best;
}

double DrawnUnit::angle() const {
  return std::atan2(centroid.y, centroid.x);
}

const AreaRule* DrawnSide::rule_of(int face) const {
  if (face < 0 || faces[static_cast<std::size_t>(face)].rule < 0) return nullptr;
  return &rules[static_cast<std::size_t>(faces[static_cast<std::size_t>(face)].rule)];
}

int DrawnSide::face_at(Point p) const {
  int best = -1;
  for (std::size_t f = 0; f < faces.size(); ++f) {
    const Loop& outer = loops[static_cast<std::size_t>(faces[f].outer)];
    if (best >= 0 && outer.area >= loops[static_cast<std::size_t>(faces[static_cast<std::size_t>(best)].outer)].area)
      continue;
    if (encloses(network, outer, p)) best = static_cast<int>(f);
  }
  return best;
}

double DrawnSide::largest_radius() const {
  double r = 0;
  for (std::size_t i = 0; i < network.curves.size(); ++i)
    if (network.part[i] < static_cast<int>(drawing->entities.size()))
      r = std::max(r, radial_range(curve(static_cast<int>(i)))[1]);
  return r;
}

double DrawnSide::smallest_radius() const {
  double r = 1e300;
  for (std::size_t i = 0; i < network.curves.size(); ++i)
    if (network.part[i] < static_cast<int>(drawing->entities.size()))
      r = std::min(r, radial_range(curve(static_cast<int>(i)))[0]);
  return r;
}

}  // namespace polepitch
