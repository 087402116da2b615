#include "geometry/dxf_curves.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "geometry/smooth_curve.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi, degree = pi / 180;

void place_line(DxfCurveDrawer& d, Point a, Point b, const Affine& place, int part) {
  if (a.x != b.x || a.y != b.y) add_line(d.sketch, place(a), place(b), part);
}

// An ellipse through conjugate half axes: centre + cos t · u + sin t · v.
void place_conic(DxfCurveDrawer& d, Point centre, Point u, Point v, double from, double to, int part) {
  const SmoothCurve curve = [=](double t) {
    const double c = std::cos(t), s = std::sin(t);
    return CurvePoint{centre + c * u + s * v, c * v - s * u};
  };
  const int pieces = std::max(1, static_cast<int>(std::ceil((to - from) / (pi / 2) - 1e-9)));
  for (int i = 0; i < pieces; ++i)
    add_smooth(d.sketch, curve, from + (to - from) * i / pieces, from + (to - from) * (i + 1) / pieces, d.tolerance,
               part);
}

// Counter-clockwise from angle `from` to `to` in the entity's own system.
void place_arc(DxfCurveDrawer& d, Point centre, double radius, double from, double to, const Affine& place, int part) {
  const auto own = [&](double angle) { return place(centre + polar(radius, angle)); };
  if (!place.similar())
    return place_conic(d, place(centre), place.direction({radius, 0}), place.direction({0, radius}), from, to, part);
  const bool ccw = place.determinant() > 0;
  const double middle = (from + to) / 2;
  const bool long_way = to - from > pi;
  if (long_way) add_arc(d.sketch, own(from), own(middle), place(centre), ccw, part);
  add_arc(d.sketch, own(long_way ? middle : from), own(to), place(centre), ccw, part);
}

struct Vertex {
  Point at;
  double bulge = 0;  // tangent of a quarter of the angle to the next vertex, positive counter-clockwise
};

void place_bulge(DxfCurveDrawer& d, const Vertex& from, Point to, const Affine& place, int part) {
  const Point chord = to - from.at;
  if (chord.x == 0 && chord.y == 0) return;
  const double b = from.bulge;
  if (std::abs(b) < 1e-12 || std::abs(b) > 1e6) return place_line(d, from.at, to, place, part);
  const Point centre = 0.5 * (from.at + to) + (1 - b * b) / (4 * b) * Point{-chord.y, chord.x};
  if (place.similar()) {
    const bool ccw = (b > 0) == (place.determinant() > 0);
    return add_arc(d.sketch, place(from.at), place(to), place(centre), ccw, part);
  }
  const Point first = b > 0 ? from.at : to;
  const double start = std::atan2(first.y - centre.y, first.x - centre.x);
  place_arc(d, centre, distance(first, centre), start, start + 4 * std::atan(std::abs(b)), place, part);
}

void place_polyline(DxfCurveDrawer& d, const std::vector<Vertex>& vertices, bool closed, const Affine& place,
                    int part) {
  for (std::size_t i = 0; i + 1 < vertices.size(); ++i) place_bulge(d, vertices[i], vertices[i + 1].at, place, part);
  if (closed && vertices.size() > 1) place_bulge(d, vertices.back(), vertices.front().at, place, part);
}

void draw_light_polyline(DxfCurveDrawer& d, const DxfRecord& r, const Affine& place, int part) {
  std::vector<Vertex> vertices;
  for (const DxfGroup& group : r.groups) {
    if (group.code == 10) vertices.push_back({{d.faults.number(group), 0}, 0});
    if (vertices.empty()) continue;
    if (group.code == 20) vertices.back().at.y = d.faults.number(group);
    if (group.code == 42) vertices.back().bulge = d.faults.number(group);
  }
  place_polyline(d, vertices, (d.faults.integer(r, 70) & 1) != 0, place, part);
}

bool draw_polyline(DxfCurveDrawer& d, const DxfRecord& r, const std::vector<DxfRecord>& list, const Affine& place,
                   int part) {
  const int flags = d.faults.integer(r, 70);
  if ((flags & (16 | 64)) != 0) return false;  // meshes
  std::vector<Vertex> vertices;
  for (const DxfRecord& v : list)
    if ((d.faults.integer(v, 70) & 16) == 0)  // not the control points of a fitted polyline
      vertices.push_back({{d.faults.number(v, 10), d.faults.number(v, 20)}, d.faults.number(v, 42)});
  place_polyline(d, vertices, (flags & 1) != 0, place, part);
  return true;
}

void draw_ellipse(DxfCurveDrawer& d, const DxfRecord& r, const Affine& place, int part) {
  const Point major{d.faults.number(r, 11), d.faults.number(r, 21)};
  const double ratio = d.faults.number(r, 40, 1), hand = d.faults.number(r, 230, 1) < 0 ? -1 : 1;
  double from = d.faults.number(r, 41), to = d.faults.number(r, 42, 2 * pi);
  if (!(ratio > 0) || (major.x == 0 && major.y == 0))
    return d.faults.add(r.line, "this ELLIPSE has an axis without length");
  from = std::remainder(from, 2 * pi);
  to = from + std::fmod(std::fmod(to - from, 2 * pi) + 2 * pi, 2 * pi);
  if (to - from < 1e-9) to = from + 2 * pi;
  const Point minor = hand * ratio * Point{-major.y, major.x};
  place_conic(d, place({d.faults.number(r, 10), d.faults.number(r, 20)}), place.direction(major),
              place.direction(minor), from, to, part);
}

// One span of a B-spline in homogeneous coordinates by de Boor's recursion; the last step gives the derivative too.
struct Spline {
  int degree = 0;
  std::vector<double> knots, x, y, w;

  CurvePoint at(int span, double t) const {
    double hx[16], hy[16], hw[16];
    for (int j = 0; j <= degree; ++j) {
      const int k = span - degree + j;
      hx[j] = w[k] * x[k], hy[j] = w[k] * y[k], hw[j] = w[k];
    }
    double dx = 0, dy = 0, dw = 0;
    for (int level = 1; level <= degree; ++level)
      for (int j = degree; j >= level; --j) {
        const double low = knots[span - degree + j], high = knots[span + 1 + j - level];
        const double s = high > low ? (t - low) / (high - low) : 0;
        if (level == degree) {
          const double rate = high > low ? degree / (high - low) : 0;
          dx = rate * (hx[j] - hx[j - 1]), dy = rate * (hy[j] - hy[j - 1]), dw = rate * (hw[j] - hw[j - 1]);
        }
        hx[j] = (1 - s) * hx[j - 1] + s * hx[j];
        hy[j] = (1 - s) * hy[j - 1] + s * hy[j];
        hw[j] = (1 - s) * hw[j - 1] + s * hw[j];
      }
    const double h = hw[degree];
    const Point p{hx[degree] / h, hy[degree] / h};
    return {p, {(dx - dw * p.x) / h, (dy - dw * p.y) / h}};
  }
};

bool complete(DxfCurveDrawer& d, const DxfRecord& r, const Spline& s) {
  const auto refuse = [&](const std::string& what) {
    d.faults.add(r.line, "this SPLINE " + what, "draw it as arcs, or as a polyline with bulges");
    return false;
  };
  if (s.x.empty()) return refuse("has no control points (only points to pass through, which leave its shape open)");
  if (s.degree < 1 || s.degree > 15) return refuse(fmt::format("has degree {}, 1 to 15 are read", s.degree));
  if (s.x.size() != s.y.size() || s.w.size() != s.x.size()) return refuse("misses coordinates or weights");
  if (s.x.size() < static_cast<std::size_t>(s.degree) + 1) return refuse("has too few control points");
  if (s.knots.size() != s.x.size() + s.degree + 1) return refuse("has a wrong number of knots");
  if (!std::is_sorted(s.knots.begin(), s.knots.end())) return refuse("has knots that do not rise");
  if (!std::all_of(s.w.begin(), s.w.end(), [](double w) { return w > 0; })) return refuse("has weights not above 0");
  return true;
}

void draw_spline(DxfCurveDrawer& d, const DxfRecord& r, const Affine& place, int part) {
  Spline s;
  s.degree = d.faults.integer(r, 71, 3);
  for (const DxfGroup& group : r.groups) {
    if (group.code == 40) s.knots.push_back(d.faults.number(group));
    if (group.code == 10) s.x.push_back(d.faults.number(group));
    if (group.code == 20) s.y.push_back(d.faults.number(group));
    if (group.code == 41) s.w.push_back(d.faults.number(group));
  }
  if (s.w.empty()) s.w.assign(s.x.size(), 1);
  if (!complete(d, r, s)) return;
  for (int span = s.degree; span < static_cast<int>(s.x.size()); ++span) {
    if (s.knots[span + 1] <= s.knots[span]) continue;
    const SmoothCurve curve = [&](double t) {
      const CurvePoint p = s.at(span, t);
      return CurvePoint{place(p.at), place.direction(p.direction)};
    };
    add_smooth(d.sketch, curve, s.knots[span], s.knots[span + 1], d.tolerance, part);
  }
}

void draw_circle(DxfCurveDrawer& d, const DxfRecord& r, const Affine& place, int part) {
  const Point centre{d.faults.number(r, 10), d.faults.number(r, 20)};
  const double radius = d.faults.number(r, 40);
  if (!(radius > 0)) return d.faults.add(r.line, fmt::format("this {} has a radius of {:g}", r.type, radius));
  if (r.type == "CIRCLE") return place_arc(d, centre, radius, 0, 2 * pi, place, part);
  const double from = d.faults.number(r, 50) * degree;
  double angle = std::fmod(d.faults.number(r, 51) * degree - from, 2 * pi);
  if (angle <= 0) angle += 2 * pi;
  place_arc(d, centre, radius, from, from + angle, place, part);
}

}  // namespace

bool is_dxf_curve(const std::string& type) {
  static const char* const types[] = {"LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE"};
  return std::any_of(std::begin(types), std::end(types), [&](const char* t) { return type == t; });
}

bool draw_dxf_curve(DxfCurveDrawer& d, const DxfRecord& r, const std::vector<DxfRecord>& vertices, const Affine& place,
                    int part) {
  if (r.type == "POLYLINE") return draw_polyline(d, r, vertices, place, part);
  if (r.type == "LINE")
    place_line(d, {d.faults.number(r, 10), d.faults.number(r, 20)}, {d.faults.number(r, 11), d.faults.number(r, 21)},
               place, part);
  else if (r.type == "LWPOLYLINE")
    draw_light_polyline(d, r, place, part);
  else if (r.type == "ELLIPSE")
    draw_ellipse(d, r, place, part);
  else if (r.type == "SPLINE")
    draw_spline(d, r, place, part);
  else
    draw_circle(d, r, place, part);
  return true;
}

}  // namespace polepitch
