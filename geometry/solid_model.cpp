#include "geometry/solid_model.h"

#include <gmsh.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <numbers>

#include <fmt/format.h>

#include "geometry/dxf_entities.h"
#include "geometry/gmsh_session.h"
#include "geometry/smooth_curve.h"

namespace polepitch {

namespace {

constexpr double pi = std::numbers::pi;

std::string ending(const std::string& path) {
  const auto dot = path.rfind('.');
  return dot == std::string::npos ? "" : small_letters(path.substr(dot + 1));
}

struct FaceReader {
  DxfDrawing& drawing;
  double scale;      // m per coordinate
  double tolerance;  // m
  std::vector<Diagnostic> faults = {};

  void fault(std::string message, std::string hint) {
    Diagnostic& d = faults.emplace_back();
    d.place.file = drawing.path;
    d.message = std::move(message);
    d.hint = std::move(hint);
  }

  CurvePoint at(int edge, double t) const {
    std::vector<double> p, d;
    gmsh::model::getValue(1, edge, {t}, p);
    gmsh::model::getDerivative(1, edge, {t}, d);
    return {{scale * p[0], scale * p[1]}, {scale * d[0], scale * d[1]}};
  }

  // Gmsh calls a circle's edge an ellipse: a circle is known by its points' distance from the centre.
  bool circle(int edge, double from, double to, Point& centre, double& radius) const {
    const Point a = at(edge, from).at, b = at(edge, from + (to - from) / 3).at,
                c = at(edge, from + (to - from) * 2 / 3).at;
    const Point u = b - a, v = c - a;
    const double d = 2 * cross(u, v);
    if (std::abs(d) < 1e-12 * (dot(u, u) + dot(v, v))) return false;
    centre = a + 1 / d * Point{v.y * dot(u, u) - u.y * dot(v, v), u.x * dot(v, v) - v.x * dot(u, u)};
    radius = distance(a, centre);
    for (int i = 0; i <= 12; ++i)
      if (std::abs(distance(at(edge, from + (to - from) * i / 12).at, centre) - radius) > 1e-9 * radius) return false;
    return true;
  }

  void add_edge(int edge, int part) {
    std::vector<double> low, high;
    std::string type;
    gmsh::model::getType(1, edge, type);
    gmsh::model::getParametrizationBounds(1, edge, low, high);
    const double from = low.at(0), to = high.at(0);
    const Point a = at(edge, from).at, b = at(edge, to).at;
    Point centre;
    double radius = 0;
    if (type == "Line") {
      add_line(drawing.sketch, a, b, part);
    } else if (circle(edge, from, to, centre, radius)) {
      const Point middle = at(edge, (from + to) / 2).at, quarter = at(edge, from + (to - from) / 4).at;
      const bool ccw = cross(a - centre, quarter - centre) > 0;
      add_arc(drawing.sketch, a, middle, centre, ccw, part);
      add_arc(drawing.sketch, middle, distance(a, b) < 1e-9 * radius ? a : b, centre, ccw, part);
    } else {
      const int pieces = 8;
      for (int i = 0; i < pieces; ++i)
        add_smooth(
            drawing.sketch, [&](double t) { return at(edge, t); }, from + (to - from) * i / pieces,
            from + (to - from) * (i + 1) / pieces, tolerance, part);
    }
  }

  // A point inside: of a grid over the face's parameters, the one farthest from its rim.
  Point inside(int face) const {
    std::vector<double> low, high;
    gmsh::model::getParametrizationBounds(2, face, low, high);
    std::vector<double> rim;
    gmsh::vectorpair edges;
    gmsh::model::getBoundary({{2, face}}, edges, false, false, false);
    std::vector<Point> border;
    for (const auto& [dimension, edge] : edges) {
      std::vector<double> t0, t1;
      gmsh::model::getParametrizationBounds(1, edge, t0, t1);
      for (int i = 0; i < 24; ++i) border.push_back(at(edge, t0[0] + (t1[0] - t0[0]) * i / 24).at);
    }
    Point best;
    double most = -1;
    for (int n : {12, 60}) {
      for (int i = 1; i < n; ++i)
        for (int j = 1; j < n; ++j) {
          std::vector<double> uv = {low[0] + (high[0] - low[0]) * i / n, low[1] + (high[1] - low[1]) * j / n}, p;
          if (!gmsh::model::isInside(2, face, uv)) continue;
          gmsh::model::getValue(2, face, uv, p);
          const Point q{scale * p[0], scale * p[1]};
          double free = 1e300;
          for (Point r : border) free = std::min(free, distance(q, r));
          if (free > most) most = free, best = q;
        }
      if (most > 0) break;
    }
    return best;
  }

  void add_face(int face, int number) {
    std::string name, type;
    gmsh::model::getEntityName(2, face, name);
    name = name.substr(name.rfind('/') + 1);
    if (name.empty()) name = fmt::format("face {}", number);
    double x0 = 0, y0 = 0, z0 = 0, x1 = 0, y1 = 0, z1 = 0;
    gmsh::model::getBoundingBox(2, face, x0, y0, z0, x1, y1, z1);
    if (std::max(std::abs(z0), std::abs(z1)) * scale > 1e-6) {
      Diagnostic& warning = drawing.warnings.emplace_back();
      warning.place.file = drawing.path;
      warning.message = fmt::format("{} is left out: it does not lie in the plane z = 0", name);
      return;
    }
    const int part = static_cast<int>(drawing.entities.size());
    drawing.entities.push_back({"edge", name, 0});
    drawing.sketch.parts.push_back(fmt::format("edge of {}", name));
    gmsh::vectorpair edges;
    gmsh::model::getBoundary({{2, face}}, edges, false, false, false);
    for (const auto& [dimension, edge] : edges) add_edge(edge, part);
    drawing.marks.push_back({inside(face), name, name, 0});
  }
};

void read_faces(const std::string& path, FaceReader& reader) {
  GmshSession session;
  gmsh::model::add("solid");
  gmsh::option::setNumber("Geometry.OCCImportLabels", 1);
  gmsh::option::setString("Geometry.OCCTargetUnit", "M");
  gmsh::vectorpair shapes, faces;
  gmsh::model::occ::importShapes(path, shapes, false);
  gmsh::model::occ::synchronize();
  gmsh::model::getEntities(faces, 2);
  for (std::size_t i = 0; i < faces.size(); ++i) reader.add_face(faces[i].second, static_cast<int>(i) + 1);
  if (reader.drawing.entities.empty())
    reader.fault("the file holds no face in the plane z = 0",
                 "export the section as faces in that plane, the machine's axis at the origin");
}

}  // namespace

bool is_solid_model(const std::string& path) {
  const std::string kind = ending(path);
  return kind == "step" || kind == "stp" || kind == "brep";
}

DxfDrawing read_solid_model(const std::string& path, const DxfOptions& options) {
  std::ifstream file(path);
  std::string head(200, ' ');
  if (!file) throw FileError(fmt::format("cannot read {}", path));
  file.read(head.data(), static_cast<std::streamsize>(head.size()));
  DxfDrawing drawing;
  drawing.path = path;
  const bool step = ending(path) != "brep";
  drawing.unit = step ? 1 : options.unit;
  FaceReader reader{drawing, drawing.unit, options.tolerance};
  if (drawing.unit <= 0) {
    reader.fault("a BREP file does not say in which unit it is drawn", "give the unit in the case");
    throw InputError(std::move(reader.faults));
  }
  try {
    // The kernel would complain on standard output.
    if (head.find(step ? "ISO-10303-21" : "CASCADE Topology") == std::string::npos &&
        head.find("DBRep_DrawableShape") == std::string::npos)
      throw std::string("no such file");
    read_faces(path, reader);
  } catch (const Error&) {
    throw;
  } catch (...) {  // Gmsh throws exceptions, bare strings and numbers
    reader.faults.clear();
    reader.fault(fmt::format("this is no {} file that can be read", step ? "STEP" : "BREP"),
                 "export it again, as faces in the plane z = 0");
  }
  if (!reader.faults.empty()) throw InputError(std::move(reader.faults));
  return drawing;
}

}  // namespace polepitch
