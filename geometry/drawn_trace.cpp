// From a drawing to the curves and faces of the whole side.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include <fmt/format.h>

#include "geometry/drawn_side.h"
#include "geometry/pole_parts.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

struct Interval {
  double low = 0, high = 0;
};

// What a curve covers as seen from the axis, from its points; lines through the axis cover nothing.
Interval covered(const SketchCurve& c) {
  double low = 0, high = 0, angle = 0;
  const double first = std::atan2(c.start.y, c.start.x);
  Point before = c.start;
  const int pieces = c.arc ? 16 : 4;
  for (int i = 1; i <= pieces; ++i) {
    const double share = i / static_cast<double>(pieces);
    const Point p = c.arc ? turned(c.start, share * sweep(c), c.centre) : c.start + share * (c.end - c.start);
    if (std::hypot(p.x, p.y) < 1e-9 || std::hypot(before.x, before.y) < 1e-9) {
      before = p;
      if (i == 1) return {std::atan2(c.end.y, c.end.x), std::atan2(c.end.y, c.end.x)};
      continue;
    }
    angle += std::atan2(cross(before, p), dot(before, p));
    low = std::min(low, angle), high = std::max(high, angle);
    before = p;
  }
  return {first + low, first + high};
}

// The largest part of the circle that no curve covers: where it begins, and its angle.
Interval largest_gap(const Sketch& sketch) {
  std::vector<Interval> list;
  for (const SketchCurve& c : sketch.curves) {
    Interval i = covered(c);
    const double shift = 2 * pi * std::floor(i.low / (2 * pi));
    list.push_back({i.low - shift, i.high - shift});
    if (i.high - shift > 2 * pi) list.push_back({0, i.high - shift - 2 * pi});
  }
  std::sort(list.begin(), list.end(), [](const Interval& a, const Interval& b) { return a.low < b.low; });
  double reach = list.front().low, from = 0, size = -1;
  for (const Interval& i : list) {
    if (i.low - reach > size) from = reach, size = i.low - reach;
    reach = std::max(reach, i.high);
  }
  if (list.front().low + 2 * pi - reach > size) from = reach, size = list.front().low + 2 * pi - reach;
  return {from, std::max(size, 0.0)};
}

bool choose_copies(DrawnSide& side, const Sketch& sketch, const Block& block, Faults& faults) {
  const Interval gap = largest_gap(sketch);
  double reach = 0;
  for (const SketchCurve& c : sketch.curves) reach = std::max(reach, radial_range(c)[1]);
  const double slack = 20 * side.snap / reach, extent = 2 * pi - gap.high;
  const bool whole = gap.high <= slack, stated = block.values.has("copies");
  side.copies = stated ? block.values.integer("copies") : whole ? 1 : static_cast<int>(std::lround(2 * pi / extent));
  side.first_angle = whole ? 0 : gap.low + gap.high;
  side.joints = !whole && std::abs(extent - side.step()) <= slack;
  const std::string covers = fmt::format("what is drawn covers {:.6g} deg", extent * 180 / pi);
  if (!stated && !whole && !side.joints)
    faults.push_back({block.values.place("file"),
                      fmt::format("{}.file: {}, no whole part of a turn", block.path, covers),
                      fmt::format("state {}.copies: how often it repeats round the axis", block.path)});
  else if (stated && !whole && extent > side.step() + slack)
    faults.push_back({block.values.place("copies"),
                      fmt::format("{}.copies = {} would overlap: {}", block.path, side.copies, covers),
                      fmt::format("at most {}", static_cast<int>(2 * pi / extent + 1e-6))});
  else
    return true;
  return false;
}

Sketch copied(const DrawnSide& side, const Sketch& one) {
  Sketch all;
  all.parts = one.parts;
  for (int k = 0; k < side.copies; ++k)
    for (SketchCurve c : one.curves) {
      if (k > 0) {
        c.start = turned(c.start, k * side.step());
        c.end = turned(c.end, k * side.step());
        c.centre = turned(c.centre, k * side.step());
      }
      all.curves.push_back(c);
    }
  return all;
}

bool on_joint(const DrawnSide& side, Point p) {
  const double r = std::hypot(p.x, p.y);
  if (r <= side.snap) return true;
  const double off = std::remainder(std::atan2(p.y, p.x) - side.first_angle, side.step());
  return r * std::abs(std::sin(off)) <= 2 * side.snap && std::abs(off) < pi / 2;
}

// Faults of the whole circle, each told once, where it stands in the drawn part.
void throw_faults(const DrawnSide& side, const Sketch& all) {
  DxfDrawing whole = *side.drawing;
  whole.sketch = all;
  std::vector<DrawingFault> faults;
  std::set<std::tuple<int, int, int, long long>> told;
  for (DrawingFault& fault : drawing_faults(whole, side.snap)) {
    const bool twice = fault.kind == DrawingFault::Kind::drawn_twice;
    if (twice && (fault.part == fault.other || (side.joints && on_joint(side, fault.at)))) continue;
    const auto layer = [&](int part) { return side.drawing->entities[static_cast<std::size_t>(part)].layer; };
    if (twice && layer(fault.part) != layer(fault.other)) continue;  // two areas may share a border
    if (twice && side.copies > 1 && !side.joints)
      fault.diagnostic.hint += fmt::format(", or the {} copies lie on one another: state another number", side.copies);
    const double angle = std::atan2(fault.at.y, fault.at.x) - side.first_angle;
    const double back = side.step() * std::floor(angle / side.step() + 1e-9);
    const auto place = static_cast<long long>(std::llround(std::hypot(fault.at.x, fault.at.y) / (10 * side.snap)));
    if (!told.insert({static_cast<int>(fault.kind), fault.part, fault.other, place}).second) continue;
    if (back == 0 || side.copies == 1) {
      faults.push_back(std::move(fault));
      continue;
    }
    const std::string words = place_words(fault.at);
    fault.at = turned(fault.at, -back);
    std::string& message = fault.diagnostic.message;
    if (const auto at = message.find(words); at != std::string::npos)
      message.replace(at, words.size(), place_words(fault.at));
    faults.push_back(std::move(fault));
  }
  if (!faults.empty()) throw DrawingError(*side.drawing, std::move(faults));
}

// Arcs about the axis get exactly one radius where they differ by less than the snap, and their ends come to lie on it;
// other arcs whose ends were moved keep their angle.
void settle(DrawnSide& side) {
  Network& n = side.network;
  std::vector<double> radii;
  if (side.surface > 0) radii.push_back(side.surface);
  std::vector<double> target(n.points.size(), 0.0);
  for (Curve& c : n.curves) {
    if (!c.arc || std::hypot(c.centre.x, c.centre.y) > side.snap) continue;
    c.centre = {0, 0};
    const Point p = n.points[static_cast<std::size_t>(c.start)];
    double r = std::hypot(p.x, p.y);
    const auto same =
        std::find_if(radii.begin(), radii.end(), [&](double known) { return std::abs(known - r) <= 2 * side.snap; });
    if (same == radii.end())
      radii.push_back(r);
    else
      r = *same;
    for (int end : {c.start, c.end}) target[static_cast<std::size_t>(end)] = r;
  }
  for (std::size_t i = 0; i < target.size(); ++i)
    if (target[i] > 0) {
      const double r = std::hypot(n.points[i].x, n.points[i].y);
      if (std::abs(r - target[i]) > 1e-15) n.points[i] = target[i] / r * n.points[i];
    }
  for (std::size_t i = 0; i < n.curves.size(); ++i) {
    Curve& c = n.curves[i];
    if (!c.arc) continue;
    const SketchCurve now = drawn(n, static_cast<int>(i));
    if (std::abs(distance(now.start, c.centre) - distance(now.end, c.centre)) < 1e-13) continue;
    const Point chord = now.end - now.start;
    const double half = sweep(now) / 2;
    c.centre = 0.5 * (now.start + now.end) + 0.5 / std::tan(half) * Point{-chord.y, chord.x};
  }
}

// Every entity of each curve: those that lay on it were dropped by `join`.
void note_parts(DrawnSide& side, const std::vector<CurvePair>& doubles) {
  const Network& n = side.network;
  side.parts.assign(n.curves.size(), {});
  std::multimap<int, std::size_t> of_part;
  for (std::size_t i = 0; i < n.curves.size(); ++i) {
    side.parts[i] = {n.part[i]};
    of_part.insert({n.part[i], i});
  }
  for (const CurvePair& pair : doubles) {
    const auto [from, to] = of_part.equal_range(pair.first);
    for (auto it = from; it != to; ++it)
      if (distance(middle(side.curve(static_cast<int>(it->second))), pair.at) <= 20 * side.snap)
        side.parts[it->second].push_back(pair.second);
  }
}

// Lines that hang between outlines without closing one.
void throw_bridges(const DrawnSide& side) {
  std::vector<DrawingFault> faults;
  std::set<int> told;
  for (int c : bridges(side.network)) {
    const int part = side.network.part[static_cast<std::size_t>(c)];
    if (part >= static_cast<int>(side.drawing->entities.size()) || !told.insert(part).second) continue;
    Point at = middle(side.curve(c));
    const double angle = std::atan2(at.y, at.x) - side.first_angle;
    at = turned(at, -side.step() * std::floor(angle / side.step() + 1e-9));
    faults.push_back(drawing_fault(*side.drawing, DrawingFault::Kind::open_end, part, at,
                                   "divides nothing: what it belongs to is not closed,",
                                   "close the outline, or remove the line"));
  }
  if (!faults.empty()) throw DrawingError(*side.drawing, std::move(faults));
}

void add_moments(const SketchCurve& c, double& area, Point& moment) {
  const double chord = cross(c.start, c.end) / 2;
  area += chord;
  moment = moment + chord / 3 * (c.start + c.end);
  if (!c.arc) return;
  const double phi = sweep(c), r = distance(c.start, c.centre), segment = r * r / 2 * (phi - std::sin(phi));
  area += segment;
  const double across = r * r * r * 2 / 3 * std::pow(std::sin(phi / 2), 3);  // first moment of the segment
  const Point m = middle(c) - c.centre;
  moment = moment + segment * c.centre + across / r * m;
}

void collect_faces(DrawnSide& side) {
  std::vector<int> face_of(side.loops.size(), -1);
  for (std::size_t l = 0; l < side.loops.size(); ++l) {
    if (side.loops[l].area <= 0) continue;
    face_of[l] = static_cast<int>(side.faces.size());
    side.faces.emplace_back().outer = static_cast<int>(l);
  }
  for (std::size_t l = 0; l < side.loops.size(); ++l) {
    if (side.loops[l].area > 0) continue;
    const int host = host_of(side.network, side.loops, side.loops[l]);
    if (host < 0) continue;
    face_of[l] = face_of[static_cast<std::size_t>(host)];
    side.faces[static_cast<std::size_t>(face_of[l])].holes.push_back(static_cast<int>(l));
  }
  side.beside.assign(side.network.curves.size(), {-1, -1});
  for (std::size_t l = 0; l < side.loops.size(); ++l)
    for (int entry : side.loops[l].curves)
      side.beside[static_cast<std::size_t>(entry < 0 ? -1 - entry : entry)][entry < 0 ? 1 : 0] = face_of[l];
  for (DrawnFace& face : side.faces) {
    Point moment;
    std::vector<int> loops = face.holes;
    loops.push_back(face.outer);
    for (int l : loops)
      for (int entry : side.loops[static_cast<std::size_t>(l)].curves) {
        const SketchCurve c = side.curve(entry < 0 ? -1 - entry : entry);
        add_moments(entry < 0 ? reversed(c) : c, face.area, moment);
      }
    face.centroid = 1 / face.area * moment;
    face.inner = inner_point(side.network, side.loops, face);
  }
}

}  // namespace

std::array<double, 2> radial_range(const SketchCurve& c) {
  const double a = std::hypot(c.start.x, c.start.y), b = std::hypot(c.end.x, c.end.y);
  double low = std::min(a, b), high = std::max(a, b);
  if (!c.arc) return {std::min(low, distance_to(c, {0, 0})), high};
  const double d = std::hypot(c.centre.x, c.centre.y), r = distance(c.start, c.centre);
  if (d < 1e-12) return {low, high};
  for (double hand : {1.0, -1.0}) {
    const Point p = c.centre + hand * r / d * c.centre;
    if (!lies_inside(c, p, 1e-12)) continue;
    low = std::min(low, std::hypot(p.x, p.y)), high = std::max(high, std::hypot(p.x, p.y));
  }
  return {low, high};
}

double angle_between(double from, double to) {
  return std::remainder(to - from, 2 * pi);
}

bool trace_side(DrawnSide& side, const Block& block, Faults& faults) {
  Faults across;
  const Sketch own = own_curves(side, block, across);
  faults.insert(faults.end(), across.begin(), across.end());
  if (!across.empty()) return false;
  if (own.curves.empty()) {
    faults.push_back({block.values.place("file"),
                      fmt::format("{}.file: nothing is drawn {} the radius {}", block.path,
                                  side.outer_side ? "outside" : "inside", millimetres(side.surface)),
                      "the machine's axis is the origin of the drawing; check the unit and the layers"});
    return false;
  }
  if (!choose_copies(side, own, block, faults)) return false;
  Sketch all = copied(side, own);
  throw_faults(side, all);
  const int helper = static_cast<int>(side.drawing->entities.size());
  all.parts.resize(static_cast<std::size_t>(helper));
  all.parts.push_back("air gap");
  const double beyond = std::max(1e-4 * side.surface, 10 * side.snap);
  add_circle(all, {0, 0}, side.outer_side ? side.surface - beyond : side.surface + beyond, helper);
  std::vector<CurvePair> doubles;
  side.network = join(all, side.snap, &doubles);
  note_parts(side, doubles);
  settle(side);
  side.joint.assign(side.network.curves.size(), 0);
  for (std::size_t i = 0; i < side.joint.size(); ++i) {
    const SketchCurve c = side.curve(static_cast<int>(i));
    side.joint[i] = side.joints && !c.arc && on_joint(side, c.start) && on_joint(side, c.end) &&
                    std::abs(cross(c.start, c.end)) <=
                        4 * side.snap * std::max(std::hypot(c.start.x, c.start.y), std::hypot(c.end.x, c.end.y));
  }
  throw_bridges(side);
  side.loops = trace_loops(side.network);
  collect_faces(side);
  return true;
}

}  // namespace polepitch
