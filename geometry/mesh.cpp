#include "geometry/mesh.h"

#include <gmsh.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>

#include "geometry/gmsh_session.h"
#include "geometry/mesh_quality.h"
#include "geometry/size_field.h"
#include "geometry/size_map.h"

namespace polepitch {
namespace {

std::mutex& gmsh_mutex() {
  static std::mutex m;
  return m;
}

}  // namespace

GmshSession::GmshSession() : lock_(gmsh_mutex()) {
  gmsh::initialize(0, nullptr, false);
  gmsh::option::setNumber("General.Terminal", 0);
  gmsh::option::setNumber("General.Verbosity", 0);
  gmsh::option::setNumber("General.NumThreads", 1);
  gmsh::option::setNumber("Mesh.Algorithm", 6);  // frontal Delaunay
  gmsh::option::setNumber("Mesh.MeshSizeExtendFromBoundary", 0);
  gmsh::option::setNumber("Mesh.MeshSizeFromPoints", 0);
  gmsh::option::setNumber("Mesh.MeshSizeFromCurvature", 0);
  gmsh::option::setNumber("Mesh.SecondOrderLinear", 0);
  gmsh::option::setNumber("Mesh.HighOrderOptimize", 0);
  gmsh::option::setNumber("Mesh.RandomSeed", 1);
}

GmshSession::~GmshSession() {
  gmsh::finalize();
}

namespace {

struct SideModel {
  std::vector<int> curves, surfaces;  // Gmsh tags, by our index
  std::vector<int> regions;           // region index of each surface
};

int signed_tag(const std::vector<int>& tags, int entry) {
  return entry >= 0 ? tags[entry] : -tags[-1 - entry];
}

std::vector<int> add_curves(const SideSection& s) {
  std::map<std::pair<double, double>, int> centres;
  std::vector<int> points, curves;
  for (const Point& p : s.points) points.push_back(gmsh::model::geo::addPoint(p.x, p.y, 0));
  for (const Curve& c : s.curves) {
    if (!c.arc) {
      curves.push_back(gmsh::model::geo::addLine(points[c.start], points[c.end]));
      continue;
    }
    auto [it, fresh] = centres.try_emplace({c.centre.x, c.centre.y}, 0);
    if (fresh) it->second = gmsh::model::geo::addPoint(c.centre.x, c.centre.y, 0);
    curves.push_back(gmsh::model::geo::addCircleArc(points[c.start], it->second, points[c.end]));
  }
  return curves;
}

SideModel build_model(const Section& section, Side side) {
  const SideSection& s = section.sides[static_cast<int>(side)];
  SideModel model;
  model.curves = add_curves(s);
  for (size_t r = 0; r < section.regions.size(); ++r) {
    const Region& region = section.regions[r];
    if (region.side != side) continue;
    std::vector<int> loops;
    for (const auto& loop : region.loops) {
      std::vector<int> tags;
      for (int entry : loop) tags.push_back(signed_tag(model.curves, entry));
      loops.push_back(gmsh::model::geo::addCurveLoop(tags));
    }
    model.surfaces.push_back(gmsh::model::geo::addPlaneSurface(loops));
    model.regions.push_back(static_cast<int>(r));
  }
  gmsh::model::geo::synchronize();
  return model;
}

double arc_length(const SideSection& s, const Curve& c) {
  const Point a = s.points[c.start], b = s.points[c.end];
  const double r = std::hypot(a.x - c.centre.x, a.y - c.centre.y);
  return 2 * r * std::asin(std::min(1.0, std::hypot(a.x - b.x, a.y - b.y) / (2 * r)));
}

/// Edges of a curve of the gap circle: equal ones, since every harmonic takes part everywhere on it.
int gap_edges(const SideSection& s, const Curve& c, const SizeMap& sizes, const SizeField* adapted) {
  const double length = arc_length(s, c);
  const int edges = sizes.gap_edges(length);
  if (!adapted) return edges;
  const Point a = s.points[c.ccw ? c.start : c.end];
  const double from = std::atan2(a.y, a.x);
  return std::max(edges,
                  static_cast<int>(std::ceil(adapted->edges(s.gap_radius, from, from + length / s.gap_radius) - 1e-9)));
}

void constrain(const Section& section, const SideSection& s, const SideModel& model, const SizeMap& sizes,
               const SizeField* adapted) {
  for (int c : s.gap_curves)
    gmsh::model::mesh::setTransfiniteCurve(model.curves[c], 1 + gap_edges(s, s.curves[c], sizes, adapted));
  const double angle = section.sector_angle(), co = std::cos(angle), si = std::sin(angle);
  const std::vector<double> turn = {co, -si, 0, 0, si, co, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1};
  for (size_t i = 0; i < s.start_edge.size(); ++i)
    gmsh::model::mesh::setPeriodic(1, {model.curves[s.end_edge[i]]}, {model.curves[s.start_edge[i]]}, turn);
}

/// Appends one side's nodes and triangles; returns Gmsh node tag → node.
std::map<std::size_t, int> collect(const SideModel& model, int order, Mesh& mesh) {
  std::vector<std::size_t> tags;
  std::vector<double> xyz, parametric;
  gmsh::model::mesh::getNodes(tags, xyz, parametric);
  std::map<std::size_t, std::size_t> row;
  for (size_t i = 0; i < tags.size(); ++i) row[tags[i]] = i;

  std::map<std::size_t, int> node;
  const int per = order == 2 ? 6 : 3;
  for (size_t k = 0; k < model.surfaces.size(); ++k) {
    std::vector<std::size_t> elements, nodes;
    gmsh::model::mesh::getElementsByType(order == 2 ? 9 : 2, elements, nodes, model.surfaces[k]);
    for (size_t e = 0; e < elements.size(); ++e) {
      std::array<int, 6> triangle{-1, -1, -1, -1, -1, -1};
      for (int i = 0; i < per; ++i) {
        const std::size_t tag = nodes[e * per + i];
        auto [it, fresh] = node.try_emplace(tag, static_cast<int>(mesh.nodes.size()));
        if (fresh) mesh.nodes.push_back({xyz[3 * row.at(tag)], xyz[3 * row.at(tag) + 1]});
        triangle[i] = it->second;
      }
      mesh.triangles.push_back(triangle);
      mesh.region.push_back(model.regions[k]);
    }
  }
  return node;
}

TraceCircle trace(const SideModel& model, const SideSection& s, const std::vector<int>& curves, double radius,
                  const std::map<std::size_t, int>& node, const Mesh& mesh, bool closed) {
  std::set<int> found;
  for (int c : curves) {
    std::vector<std::size_t> tags;
    std::vector<double> xyz, parametric;
    gmsh::model::mesh::getNodes(tags, xyz, parametric, 1, model.curves[c], true);
    for (std::size_t t : tags) found.insert(node.at(t));
  }
  std::vector<std::pair<double, int>> sorted;
  for (int n : found) {
    double angle = std::atan2(mesh.nodes[n].y, mesh.nodes[n].x) - s.start_angle;
    angle -= 2 * M_PI * std::floor((angle + 1e-9) / (2 * M_PI));
    sorted.emplace_back(angle, n);
  }
  std::sort(sorted.begin(), sorted.end());
  TraceCircle circle{radius, {}};
  for (const auto& [angle, n] : sorted) circle.nodes.push_back(n);
  if (closed && !circle.nodes.empty()) circle.nodes.push_back(circle.nodes.front());
  return circle;
}

void collect_pairs(const SideModel& model, const SideSection& s, const std::map<std::size_t, int>& node, Mesh& mesh) {
  std::set<std::pair<int, int>> pairs;
  for (int c : s.end_edge) {
    int master = 0;
    std::vector<std::size_t> slaves, masters;
    std::vector<double> affine;
    gmsh::model::mesh::getPeriodicNodes(1, model.curves[c], master, slaves, masters, affine, true);
    if (slaves.empty()) throw GeometryError("the mesh of a sector's two edges could not be paired");
    for (size_t i = 0; i < slaves.size(); ++i) pairs.emplace(node.at(slaves[i]), node.at(masters[i]));
  }
  for (const auto& [slave, master] : pairs) mesh.pairs.push_back({slave, master});
}

void mesh_side(const Section& section, Side side, const MeshOptions& options, Mesh& mesh) {
  const SideSection& s = section.sides[static_cast<int>(side)];
  GmshSession gmsh_session;
  gmsh::model::add("side");
  const SideModel model = build_model(section, side);
  const SizeMap sizes(section, side, options.adapted ? 1 : options.density);
  std::optional<SizeField> adapted;
  if (options.adapted) adapted.emplace(*options.adapted, side);
  constrain(section, s, model, sizes, adapted ? &*adapted : nullptr);
  gmsh::model::mesh::setSizeCallback(
      [&](int, int, double x, double y, double) { return adapted ? adapted->at(x, y) : sizes.at(x, y); });
  gmsh::model::mesh::generate(2);
  if (options.second_order) gmsh::model::mesh::setOrder(2);
  gmsh::model::mesh::removeSizeCallback();

  const int order = options.second_order ? 2 : 1;
  const size_t before = mesh.triangles.size();
  const auto node = collect(model, order, mesh);
  if (mesh.triangles.size() == before) throw GeometryError("the mesher returned no triangles");
  const int i = static_cast<int>(side);
  mesh.gap[i] = trace(model, s, s.gap_curves, s.gap_radius, node, mesh, section.sectors == 1);
  mesh.far[i] = trace(model, s, s.far_curves, s.far_radius, node, mesh, section.sectors == 1);
  collect_pairs(model, s, node, mesh);
}

}  // namespace

Mesh mesh_section(const Section& section, const MeshOptions& options) {
  Mesh mesh;
  mesh.order = options.second_order ? 2 : 1;
  mesh.sectors = section.sectors;
  mesh.sign = section.sign;
  try {
    mesh_side(section, Side::stator, options, mesh);
    mesh.stator_nodes = static_cast<int>(mesh.nodes.size());
    mesh.stator_triangles = static_cast<int>(mesh.triangles.size());
    mesh_side(section, Side::rotor, options, mesh);
  } catch (const Error&) {
    throw;
  } catch (const std::exception& e) {
    throw GeometryError(std::string("the section could not be meshed: ") + e.what());
  } catch (const std::string& e) {  // Gmsh throws bare strings and numbers
    throw GeometryError("the section could not be meshed: " + e);
  } catch (int) {
    throw GeometryError("the section could not be meshed");
  }
  straighten_inverted(mesh);
  mesh.quality = measure_quality(mesh);
  if (mesh.quality.smallest_angle <= 0)
    throw GeometryError("the mesh has an inverted triangle", "raise mesh.density, or widen the thinnest part");
  return mesh;
}

}  // namespace polepitch
