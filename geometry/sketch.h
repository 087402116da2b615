// A sketch is a heap of lines, arcs and labels in any order; `arrange` makes of it points, curves and faces that fit
// together. It knows nothing of machines: drawings from elsewhere can use it as well. SI.
#pragma once

#include <string>
#include <vector>

#include "geometry/curves.h"
#include "geometry/section.h"

namespace polepitch {

/// Says what the face around `region.seed` is. `empty`: nothing is there (a hollow shaft), the face is left out.
struct Label {
  Region region;
  bool empty = false;
};

struct Sketch {
  std::vector<SketchCurve> curves;
  std::vector<std::string> parts;  // names of what the curves belong to, for messages
  std::vector<Label> labels;
};

int add_part(Sketch& sketch, std::string name);
void add_line(Sketch& sketch, Point a, Point b, int part);
/// Any arc under 360°; it is drawn in pieces of at most 90°.
void add_arc(Sketch& sketch, Point a, Point b, Point centre, bool ccw, int part);
void add_circle(Sketch& sketch, Point centre, double radius, int part);
/// Counter-clockwise arc about the origin from angle `from` to `to` [rad]; a closed circle when they are 2π apart.
void add_ring_arc(Sketch& sketch, double radius, double from, double to, int part);
void add_label(Sketch& sketch, Region region, Point seed);
void add_empty_label(Sketch& sketch, std::string name, Point seed);

struct Arrangement {
  std::vector<Point> points;
  std::vector<Curve> curves;    // they keep the direction in which they were drawn; none covers more than 90°
  std::vector<Region> regions;  // one per label that is not empty, in the order of the labels
};

/// Merges points closer than `tolerance` [m], splits curves at points on them, drops doubles, traces the faces and
/// gives each the one label inside it. Throws GeometryError naming the parts: curves that cross, a curve that ends in
/// the open, a face without a label or with two, a label outside every face.
Arrangement arrange(const Sketch& sketch, double tolerance = 1e-9);

// The steps of `arrange`, for tests.

/// Curves between shared points: merged, split, without doubles; throws where two cross.
struct Network {
  std::vector<Point> points;
  std::vector<Curve> curves;
  std::vector<int> part;  // per curve
};
Network connect(const Sketch& sketch, double tolerance);

/// A curve that lay on one drawn before it, and was dropped; two curves that cross.
struct CurvePair {
  int first = 0, second = 0;  // parts
  Point at;
};
/// The same without a check: curves may still cross. `doubles`, where given, takes those that were dropped.
Network join(const Sketch& sketch, double tolerance, std::vector<CurvePair>* doubles = nullptr);
std::vector<CurvePair> crossings(const Network& network, double tolerance);
SketchCurve drawn(const Network& network, int curve);

/// A boundary traced with its face on the left: area > 0 bounds a face from outside, area < 0 is the outline of a
/// connected group of curves seen from outside.
struct Loop {
  std::vector<int> curves;  // negative (−1 − index) when run backwards
  double area = 0;
  int group = 0;  // connected group of curves
};
std::vector<Loop> trace_loops(const Network& network);
bool encloses(const Network& network, const Loop& loop, Point p);
/// The loop (of area > 0) inside which an outline of another group lies; −1 when it lies in the open.
int host_of(const Network& network, const std::vector<Loop>& loops, const Loop& outline);

}  // namespace polepitch
