// The first half of `arrange`: shared points, split curves, no doubles, no crossings.
#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include <fmt/format.h>

#include "geometry/sketch.h"

namespace polepitch {

namespace {

// All end points, each cluster closer than the tolerance represented by the member that was drawn first.
struct MergedPoints {
  std::vector<Point> points;
  std::vector<int> of_end;  // two per curve
};

MergedPoints merge_points(const Sketch& sketch, double tolerance) {
  std::vector<Point> ends;
  for (const SketchCurve& c : sketch.curves) ends.insert(ends.end(), {c.start, c.end});
  // Cells of the tolerance's size: a partner within it is in the own cell or a neighbour.
  std::map<std::pair<long long, long long>, std::vector<int>> cells;
  MergedPoints merged;
  for (const Point& p : ends) {
    const auto i = static_cast<long long>(std::floor(p.x / tolerance));
    const auto j = static_cast<long long>(std::floor(p.y / tolerance));
    int found = -1;
    for (long long di = -1; di <= 1; ++di)
      for (long long dj = -1; dj <= 1; ++dj) {
        const auto cell = cells.find({i + di, j + dj});
        if (cell == cells.end()) continue;
        for (int k : cell->second)
          if (distance(merged.points[k], p) <= tolerance && (found < 0 || k < found)) found = k;
      }
    if (found < 0) {
      found = static_cast<int>(merged.points.size());
      merged.points.push_back(p);
      cells[{i, j}].push_back(found);
    }
    merged.of_end.push_back(found);
  }
  return merged;
}

struct Box {
  double x0, x1, y0, y1;
};

Box box_of(const SketchCurve& c, double margin) {
  Box b{std::min(c.start.x, c.end.x), std::max(c.start.x, c.end.x), std::min(c.start.y, c.end.y),
        std::max(c.start.y, c.end.y)};
  // An arc of at most 90° leaves the box of its chord by less than its sagitta.
  if (c.arc) {
    const Point m = middle(c);
    margin += distance(m, 0.5 * (c.start + c.end));
  }
  return {b.x0 - margin, b.x1 + margin, b.y0 - margin, b.y1 + margin};
}

bool overlap(const Box& a, const Box& b) {
  return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
}

// Index order of points by x, so that a curve looks only at the points beside it.
std::vector<int> sorted_by_x(const std::vector<Point>& points) {
  std::vector<int> order(points.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = static_cast<int>(i);
  std::sort(order.begin(), order.end(),
            [&](int a, int b) { return std::tie(points[a].x, a) < std::tie(points[b].x, b); });
  return order;
}

void split_curve(Network& network, const SketchCurve& c, int start, int end, const std::vector<int>& order,
                 double tolerance) {
  const std::vector<Point>& points = network.points;
  const Box box = box_of(c, tolerance);
  auto it = std::lower_bound(order.begin(), order.end(), box.x0, [&](int p, double x) { return points[p].x < x; });
  std::vector<std::pair<double, int>> inside;
  for (; it != order.end() && points[*it].x <= box.x1; ++it) {
    const Point p = points[*it];
    if (p.y < box.y0 || p.y > box.y1 || *it == start || *it == end) continue;
    if (lies_inside(c, p, tolerance)) inside.push_back({along(c, p), *it});
  }
  std::sort(inside.begin(), inside.end());
  inside.push_back({0, end});
  for (const auto& [position, p] : inside) {
    if (p != start) {
      network.curves.push_back({start, p, c.arc, c.centre, c.ccw});
      network.part.push_back(c.part);
    }
    start = p;
  }
}

// Two curves between the same points are the same when their middles coincide; the first drawn stays.
void drop_doubles(Network& network, double tolerance, std::vector<CurvePair>* doubles) {
  std::map<std::pair<int, int>, std::vector<std::pair<Point, int>>> seen;
  Network kept;
  kept.points = network.points;
  for (std::size_t i = 0; i < network.curves.size(); ++i) {
    const Curve& c = network.curves[i];
    const Point m = middle(drawn(network, static_cast<int>(i)));
    auto& middles = seen[std::minmax(c.start, c.end)];
    const auto same = std::find_if(middles.begin(), middles.end(),
                                   [&](const auto& other) { return distance(other.first, m) <= 10 * tolerance; });
    if (same != middles.end()) {
      if (doubles != nullptr) doubles->push_back({same->second, network.part[i], m});
      continue;
    }
    middles.push_back({m, network.part[i]});
    kept.curves.push_back(c);
    kept.part.push_back(network.part[i]);
  }
  network = std::move(kept);
}

bool at_shared_end(const Curve& a, const Curve& b, const std::vector<Point>& points, Point p, double tolerance) {
  for (int end : {a.start, a.end})
    if ((end == b.start || end == b.end) && distance(points[end], p) <= tolerance) return true;
  return false;
}

void find_crossings(const Network& network, int i, int j, double tolerance, std::vector<CurvePair>& found) {
  // Where two curves touch smoothly at a shared end, round-off moves the computed meeting by about √ε of the radius.
  const double slack = 100 * tolerance;
  for (Point p : meetings(drawn(network, i), drawn(network, j), tolerance)) {
    if (at_shared_end(network.curves[i], network.curves[j], network.points, p, slack)) continue;
    found.push_back({network.part[i], network.part[j], p});
  }
}

}  // namespace

SketchCurve drawn(const Network& network, int curve) {
  const Curve& c = network.curves[curve];
  return {network.points[c.start], network.points[c.end], c.arc, c.centre, c.ccw, network.part[curve]};
}

Network join(const Sketch& sketch, double tolerance, std::vector<CurvePair>* doubles) {
  MergedPoints merged = merge_points(sketch, tolerance);
  Network network;
  network.points = std::move(merged.points);
  const std::vector<int> order = sorted_by_x(network.points);
  for (std::size_t i = 0; i < sketch.curves.size(); ++i) {
    const int start = merged.of_end[2 * i], end = merged.of_end[2 * i + 1];
    if (start != end) split_curve(network, sketch.curves[i], start, end, order, tolerance);
  }
  drop_doubles(network, tolerance, doubles);
  return network;
}

std::vector<CurvePair> crossings(const Network& network, double tolerance) {
  std::vector<CurvePair> found;
  const int n = static_cast<int>(network.curves.size());
  std::vector<Box> boxes;
  for (int i = 0; i < n; ++i) boxes.push_back(box_of(drawn(network, i), tolerance));
  std::vector<int> order(n);
  for (int i = 0; i < n; ++i) order[i] = i;
  std::sort(order.begin(), order.end(),
            [&](int a, int b) { return std::tie(boxes[a].x0, a) < std::tie(boxes[b].x0, b); });
  for (int a = 0; a < n; ++a)
    for (int b = a + 1; b < n && boxes[order[b]].x0 <= boxes[order[a]].x1; ++b)
      if (overlap(boxes[order[a]], boxes[order[b]]))
        find_crossings(network, std::min(order[a], order[b]), std::max(order[a], order[b]), tolerance, found);
  return found;
}

Network connect(const Sketch& sketch, double tolerance) {
  Network network = join(sketch, tolerance);
  for (const CurvePair& pair : crossings(network, tolerance))
    throw GeometryError(fmt::format("'{}' crosses '{}' near ({:.3f}, {:.3f}) mm", sketch.parts[pair.first],
                                    sketch.parts[pair.second], pair.at.x * 1e3, pair.at.y * 1e3),
                        "change the dimensions of these parts so that they keep clear of each other");
  return network;
}

}  // namespace polepitch
