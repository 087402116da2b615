// The second half of `arrange`: loops traced along half-edges. Half-edge 2c runs along curve c, 2c + 1 against it.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include <fmt/format.h>

#include "geometry/sketch.h"

namespace polepitch {

namespace {

SketchCurve half_edge(const Network& network, int h) {
  const SketchCurve c = drawn(network, h / 2);
  return h % 2 ? reversed(c) : c;
}

int origin(const Network& network, int h) {
  const Curve& c = network.curves[h / 2];
  return h % 2 ? c.end : c.start;
}

// Outgoing half-edges of a point in counter-clockwise order. They are compared on a small circle about the point, which
// also sets those in order that leave in the same direction with different curvature.
void sort_around(const Network& network, std::vector<int>& outgoing) {
  double rho = 1e300;
  for (int h : outgoing) {
    const Curve& c = network.curves[h / 2];
    rho = std::min(rho, 0.1 * distance(network.points[c.start], network.points[c.end]));
  }
  std::vector<std::pair<double, int>> keyed;
  for (int h : outgoing) {
    const SketchCurve c = half_edge(network, h);
    const Point d = near_start(c, rho) - c.start;
    keyed.push_back({std::atan2(d.y, d.x), h});
  }
  std::sort(keyed.begin(), keyed.end());
  for (std::size_t i = 0; i < keyed.size(); ++i) outgoing[i] = keyed[i].second;
}

// next[h]: the half-edge that follows h with the face on the left: at h's head the one clockwise of h's twin.
std::vector<int> successors(const Network& network) {
  std::vector<std::vector<int>> outgoing(network.points.size());
  const int count = 2 * static_cast<int>(network.curves.size());
  for (int h = 0; h < count; ++h) outgoing[origin(network, h)].push_back(h);
  std::vector<int> next(count, -1);
  for (std::vector<int>& around : outgoing) {
    if (around.empty()) continue;
    sort_around(network, around);
    for (std::size_t i = 0; i < around.size(); ++i)
      next[around[i] ^ 1] = around[(i + around.size() - 1) % around.size()];
  }
  return next;
}

std::vector<int> groups_of_points(const Network& network) {
  std::vector<int> parent(network.points.size());
  std::iota(parent.begin(), parent.end(), 0);
  const auto root = [&](int p) {
    while (parent[p] != p) p = parent[p] = parent[parent[p]];
    return p;
  };
  for (const Curve& c : network.curves) parent[root(c.start)] = root(c.end);
  for (std::size_t i = 0; i < parent.size(); ++i) parent[i] = root(static_cast<int>(i));
  return parent;
}

}  // namespace

std::vector<Loop> trace_loops(const Network& network) {
  const std::vector<int> next = successors(network), group = groups_of_points(network);
  std::vector<int> loop_of(next.size(), -1);
  std::vector<Loop> loops;
  for (int first = 0; first < static_cast<int>(next.size()); ++first) {
    if (loop_of[first] >= 0) continue;
    Loop loop;
    loop.group = group[origin(network, first)];
    int h = first;
    do {
      loop_of[h] = static_cast<int>(loops.size());
      loop.curves.push_back(h % 2 ? -1 - h / 2 : h / 2);
      loop.area += area_swept(half_edge(network, h));
      h = next[h];
    } while (h != first);
    loops.push_back(std::move(loop));
  }
  for (std::size_t h = 0; h < next.size(); h += 2) {
    if (loop_of[h] != loop_of[h + 1]) continue;
    const Point p = middle(drawn(network, static_cast<int>(h) / 2));
    throw GeometryError(fmt::format("a line near ({:.3f}, {:.3f}) mm divides nothing: its outline is not closed",
                                    p.x * 1e3, p.y * 1e3));
  }
  return loops;
}

bool encloses(const Network& network, const Loop& loop, Point p) {
  double angle = 0;
  for (int c : loop.curves) {
    const SketchCurve curve = drawn(network, c < 0 ? -1 - c : c);
    angle += angle_seen(c < 0 ? reversed(curve) : curve, p);
  }
  return std::abs(angle) > std::numbers::pi;
}

}  // namespace polepitch
