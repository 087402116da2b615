#include "geometry/sketch.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

// The labels of each face; a label belongs to the smallest loop around its seed, because loops lie in one another.
std::vector<std::vector<int>> labels_of_faces(const Sketch& sketch, const Network& network,
                                              const std::vector<Loop>& loops) {
  std::vector<std::vector<int>> found(loops.size());
  for (int l = 0; l < static_cast<int>(sketch.labels.size()); ++l) {
    int best = -1;
    for (int f = 0; f < static_cast<int>(loops.size()); ++f) {
      if (loops[f].area <= 0 || (best >= 0 && loops[f].area >= loops[best].area)) continue;
      if (encloses(network, loops[f], sketch.labels[l].region.seed)) best = f;
    }
    if (best < 0) throw GeometryError(fmt::format("'{}' lies outside of every outline", sketch.labels[l].region.name));
    found[best].push_back(l);
  }
  return found;
}

std::string parts_of(const Sketch& sketch, const Network& network, const Loop& loop) {
  std::vector<std::string> names;
  for (int c : loop.curves) names.push_back(sketch.parts[network.part[c < 0 ? -1 - c : c]]);
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return fmt::format("{}", fmt::join(names, ", "));
}

[[noreturn]] void throw_unlabelled(const Sketch& sketch, const Network& network, const Loop& loop) {
  const SketchCurve c = drawn(network, loop.curves[0] < 0 ? -1 - loop.curves[0] : loop.curves[0]);
  const Point p = middle(c);
  throw GeometryError(
      fmt::format("the drawing leaves a piece of {:.3g} mm2 near ({:.3f}, {:.3f}) mm that belongs to nothing; around "
                  "it: {}",
                  loop.area * 1e6, p.x * 1e3, p.y * 1e3, parts_of(sketch, network, loop)),
      "change the dimensions of these parts so that they fit together");
}

}  // namespace

int add_part(Sketch& sketch, std::string name) {
  sketch.parts.push_back(std::move(name));
  return static_cast<int>(sketch.parts.size()) - 1;
}

void add_line(Sketch& sketch, Point a, Point b, int part) {
  sketch.curves.push_back({a, b, false, {}, true, part});
}

void add_arc(Sketch& sketch, Point a, Point b, Point centre, bool ccw, int part) {
  const SketchCurve whole{a, b, true, centre, ccw, part};
  const double angle = sweep(whole);
  const int pieces = std::max(1, static_cast<int>(std::ceil(std::abs(angle) / (pi / 2) - 1e-9)));
  Point from = a;
  for (int i = 1; i <= pieces; ++i) {
    const Point to = i == pieces ? b : turned(a, angle * i / pieces, centre);
    sketch.curves.push_back({from, to, true, centre, ccw, part});
    from = to;
  }
}

void add_circle(Sketch& sketch, Point centre, double radius, int part) {
  const Point a = centre + Point{radius, 0}, b = centre - Point{radius, 0};
  add_arc(sketch, a, b, centre, true, part);
  add_arc(sketch, b, a, centre, true, part);
}

void add_ring_arc(Sketch& sketch, double radius, double from, double to, int part) {
  if (to - from > 1.5 * pi) {
    const double half = (from + to) / 2;
    add_ring_arc(sketch, radius, from, half, part);
    add_ring_arc(sketch, radius, half, to, part);
    return;
  }
  add_arc(sketch, polar(radius, from), polar(radius, to), {0, 0}, true, part);
}

void add_label(Sketch& sketch, Region region, Point seed) {
  region.seed = seed;
  sketch.labels.push_back({std::move(region), false});
}

void add_empty_label(Sketch& sketch, std::string name, Point seed) {
  Region region;
  region.name = std::move(name);
  region.seed = seed;
  sketch.labels.push_back({std::move(region), true});
}

int host_of(const Network& network, const std::vector<Loop>& loops, const Loop& outline) {
  const int c = outline.curves[0] < 0 ? -1 - outline.curves[0] : outline.curves[0];
  const Point p = network.points[network.curves[c].start];
  int best = -1;
  for (int f = 0; f < static_cast<int>(loops.size()); ++f) {
    if (loops[f].area <= 0 || loops[f].group == outline.group) continue;
    if (best >= 0 && loops[f].area >= loops[best].area) continue;
    if (encloses(network, loops[f], p)) best = f;
  }
  return best;
}

Arrangement arrange(const Sketch& sketch, double tolerance) {
  const Network network = connect(sketch, tolerance);
  const std::vector<Loop> loops = trace_loops(network);
  const auto labels = labels_of_faces(sketch, network, loops);
  std::vector<int> face_of_loop(loops.size(), -1);
  std::vector<Region> faces(sketch.labels.size());
  for (std::size_t f = 0; f < loops.size(); ++f) {
    if (loops[f].area <= 0) continue;
    if (labels[f].empty()) throw_unlabelled(sketch, network, loops[f]);
    if (labels[f].size() > 1)
      throw GeometryError(fmt::format("no line divides '{}' from '{}'", sketch.labels[labels[f][0]].region.name,
                                      sketch.labels[labels[f][1]].region.name),
                          "change the dimensions of these parts so that they are closed outlines");
    face_of_loop[f] = labels[f][0];
    faces[labels[f][0]] = sketch.labels[labels[f][0]].region;
    faces[labels[f][0]].loops = {loops[f].curves};
    faces[labels[f][0]].area = loops[f].area;
  }
  for (const Loop& loop : loops) {
    if (loop.area > 0) continue;
    const int host = host_of(network, loops, loop);
    if (host < 0) continue;
    faces[face_of_loop[host]].loops.push_back(loop.curves);
    faces[face_of_loop[host]].area += loop.area;
  }
  Arrangement result{network.points, network.curves, {}};
  for (std::size_t l = 0; l < faces.size(); ++l)
    if (!sketch.labels[l].empty) result.regions.push_back(std::move(faces[l]));
  return result;
}

}  // namespace polepitch
