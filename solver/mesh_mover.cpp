#include "solver/mesh_mover.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "geometry/curve_places.h"
#include "geometry/curves.h"
#include "geometry/mesh_quality.h"
#include "geometry/size_map.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {
namespace {

// Far moves keep more triangles upright in a few steps, each from the sheet as it then is.
constexpr int kSteps = 3;
constexpr double kSharpest = 0.35;  // smallest angle over that of the mesh that is moved
// Longest edge of the gap circles over the built-in ones, or those of the mesh that is moved: up to the gap's own
// width.
constexpr double kLongestEdge = 1.6;
constexpr double kBar = 5;  // a bar of the gap circle over a triangle beside it

// Lamé's constants of the sheet, in the plane strain of a Poisson's ratio of 0.3, over Young's modulus.
constexpr double kLambda = 0.3 / (1.3 * 0.4), kShear = 0.5 / 1.3;

/// Stiffness of one triangle, 6 × 6: Young's modulus is 1 over the area.
std::array<std::array<double, 6>, 6> stiffness(const Point& a, const Point& b, const Point& c) {
  const double area2 = cross(b - a, c - a);
  const double dx[3] = {(b.y - c.y) / area2, (c.y - a.y) / area2, (a.y - b.y) / area2};
  const double dy[3] = {(c.x - b.x) / area2, (a.x - c.x) / area2, (b.x - a.x) / area2};
  std::array<std::array<double, 6>, 6> k{};
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 3; ++j) {
      const double same = kShear * (dx[i] * dx[j] + dy[i] * dy[j]);
      k[2 * i][2 * j] = (kLambda + kShear) * dx[i] * dx[j] + same;
      k[2 * i][2 * j + 1] = kLambda * dx[i] * dy[j] + kShear * dy[i] * dx[j];
      k[2 * i + 1][2 * j] = kLambda * dy[i] * dx[j] + kShear * dx[i] * dy[j];
      k[2 * i + 1][2 * j + 1] = (kLambda + kShear) * dy[i] * dy[j] + same;
    }
  return k;
}

/// The longest edge between corners on each gap circle, over what the built-in sizes of density 1 make there.
std::array<double, 2> gap_edges(const Section& section, const Mesh& mesh) {
  std::array<double, 2> longest{};
  for (const int s : {0, 1}) {
    const std::vector<int>& nodes = mesh.gap[s].nodes;
    const size_t step = mesh.order == 2 ? 2 : 1;
    for (size_t i = step; i < nodes.size(); i += step)
      longest[static_cast<size_t>(s)] =
          std::max(longest[static_cast<size_t>(s)], distance(mesh.nodes[nodes[i - step]], mesh.nodes[nodes[i]]));
    longest[static_cast<size_t>(s)] *= SizeMap(section, static_cast<Side>(s), 1).gap_edges(1);  // of one metre
  }
  return longest;
}

}  // namespace

struct MeshMover::Impl {
  Section section;
  Mesh mesh;
  std::vector<CurvePlace> places;
  std::vector<int> unknown;   // of each node: number of its x displacement, y is the next one; −1: held, or mid-side
  std::vector<bool> sliding;  // corners inside the gap circles' curves: held across them, free along them
  LowerPattern pattern;
  std::unique_ptr<SparseCholesky> factor;
  std::array<double, 2> longest;  // edges of the gap circles

  Impl(const Section& s, const Mesh& m)
      : section(s), mesh(m), places(curve_places(s, m)), unknown(m.nodes.size(), -1), longest(gap_edges(s, m)) {
    sliding.assign(mesh.nodes.size(), false);
    for (const int side : {0, 1}) {
      const std::vector<int>& nodes = mesh.gap[side].nodes;
      for (size_t i = 0; i < nodes.size(); i += mesh.order == 2 ? 2 : 1)
        sliding[nodes[i]] = places[nodes[i]].share > 0 && places[nodes[i]].share < 1;
    }
    int size = 0;
    std::vector<std::vector<int>> groups;
    for (const auto& t : mesh.triangles) {
      std::vector<int> group;
      for (int i = 0; i < 3; ++i) {
        if (places[t[i]].curve >= 0 && !sliding[t[i]]) continue;
        if (unknown[t[i]] < 0) unknown[t[i]] = std::exchange(size, size + 2);
        group.insert(group.end(), {unknown[t[i]], unknown[t[i]] + 1});
      }
      groups.push_back(std::move(group));
    }
    pattern = build_pattern(size, groups);
    factor = std::make_unique<SparseCholesky>(pattern);
  }

  /// Holds sliding nodes across their circle by springs, far stiffer than the sheet.
  void hold_across(const std::vector<Point>& nodes, const std::vector<Point>& by, std::vector<double>& values,
                   std::vector<double>& right) const {
    constexpr double kStiff = 1e6;
    for (size_t n = 0; n < unknown.size(); ++n) {
      if (!sliding[n]) continue;
      const int u = unknown[n];
      double& xx = values[pattern.position(u, u)];
      double& yx = values[pattern.position(u + 1, u)];
      double& yy = values[pattern.position(u + 1, u + 1)];
      const Point across = (1 / std::hypot(nodes[n].x, nodes[n].y)) * nodes[n];
      const double spring = kStiff * (xx + yy), wanted = spring * dot(across, by[n]);
      xx += spring * across.x * across.x;
      yx += spring * across.x * across.y;
      yy += spring * across.y * across.y;
      right[u] += wanted * across.x;
      right[u + 1] += wanted * across.y;
    }
  }

  /// Bars between neighbours on the gap circles: they share a change of length out among many edges.
  void add_bars(const std::vector<Point>& nodes, const std::vector<Point>& by, std::vector<double>& values,
                std::vector<double>& right) const {
    const size_t step = mesh.order == 2 ? 2 : 1;
    for (const TraceCircle& circle : mesh.gap)
      for (size_t i = step; i < circle.nodes.size(); i += step) {
        const int ends[2] = {circle.nodes[i - step], circle.nodes[i]};
        const Point edge = nodes[ends[1]] - nodes[ends[0]];
        const double square = dot(edge, edge), stiff = kBar / (square * square);
        for (const int a : ends)
          for (const int b : ends) {
            if (unknown[a] < 0) continue;
            const double k = a == b ? stiff : -stiff, part[2] = {edge.x, edge.y};
            for (int r = 0; r < 2; ++r) {
              if (unknown[b] < 0) right[unknown[a] + r] -= k * part[r] * dot(edge, by[b]);
              for (int c = 0; c < 2 && unknown[b] >= 0; ++c)
                if (unknown[a] + r >= unknown[b] + c)
                  values[pattern.position(unknown[a] + r, unknown[b] + c)] += k * part[r] * part[c];
            }
          }
      }
  }

  /// Displacements of all corners for those of the held ones.
  bool relax(const std::vector<Point>& nodes, std::vector<Point>& by) {
    std::vector<double> values(pattern.row.size(), 0.0), right(static_cast<size_t>(pattern.size), 0.0), found(right);
    for (const auto& t : mesh.triangles) {
      const auto k = stiffness(nodes[t[0]], nodes[t[1]], nodes[t[2]]);
      for (int i = 0; i < 6; ++i) {
        const int row = unknown[t[i / 2]] + i % 2;
        if (unknown[t[i / 2]] < 0) continue;
        for (int j = 0; j < 6; ++j) {
          const int node = t[j / 2], column = unknown[node] + j % 2;
          if (unknown[node] < 0)
            right[row] -= k[i][j] * (j % 2 == 0 ? by[node].x : by[node].y);
          else if (row >= column)
            values[pattern.position(row, column)] += k[i][j];
        }
      }
    }
    add_bars(nodes, by, values, right);
    hold_across(nodes, by, values, right);
    if (!factor->factorise(values)) return false;
    factor->solve(right, found);
    for (size_t n = 0; n < unknown.size(); ++n)
      if (unknown[n] >= 0) by[n] = {found[unknown[n]], found[unknown[n] + 1]};
    return true;
  }

  /// Whether no node moves by more than rounding: places on curves are known to that.
  bool at_rest(const std::vector<Point>& target) const {
    const double least = 1e-12 * section.stator_radius;
    return std::equal(target.begin(), target.end(), mesh.nodes.begin(),
                      [&](Point a, Point b) { return distance(a, b) <= least; });
  }

  /// Target of every node on a curve.
  std::vector<Point> held(const Section& to) const {
    std::vector<Point> target = mesh.nodes;
    for (size_t n = 0; n < target.size(); ++n)
      if (places[n].curve >= 0)
        target[n] = point_at(to.sides[static_cast<int>(n) < mesh.stator_nodes ? 0 : 1], places[n]);
    return target;
  }

  /// False where the sheet cannot follow.
  bool move_corners(const std::vector<Point>& target, std::vector<Point>& nodes) {
    for (int step = 0; step < kSteps; ++step) {
      std::vector<Point> by(target.size());
      for (size_t n = 0; n < target.size(); ++n) {
        if (places[n].curve < 0) continue;
        by[n] = target[n] - nodes[n];
        if (sliding[n])
          by[n] = (std::hypot(target[n].x, target[n].y) / std::hypot(nodes[n].x, nodes[n].y) - 1) * nodes[n];
        by[n] = (1.0 / (kSteps - step)) * by[n];
      }
      if (!relax(nodes, by)) return false;
      for (size_t n = 0; n < target.size(); ++n) nodes[n] = nodes[n] + by[n];
    }
    return true;
  }

  /// Nodes on curves exactly there, mid-side nodes between their corners.
  void place_others(const std::vector<Point>& target, const Section& to, std::vector<Point>& nodes) const {
    for (size_t n = 0; n < target.size(); ++n)
      if (places[n].curve >= 0 && !sliding[n]) nodes[n] = target[n];
    for (const int s : {0, 1}) {
      const double radius = to.sides[static_cast<size_t>(s)].gap_radius;
      const auto onto = [radius](Point p) { return (radius / std::hypot(p.x, p.y)) * p; };
      const std::vector<int>& circle = mesh.gap[s].nodes;
      for (const int n : circle)
        if (sliding[n]) nodes[n] = onto(nodes[n]);
      for (size_t i = 2; i < circle.size() && mesh.order == 2; i += 2)
        nodes[circle[i - 1]] = onto(nodes[circle[i - 2]] + nodes[circle[i]]);
    }
    for (const auto& t : mesh.triangles)
      for (int i = 0; i < 3 && mesh.order == 2; ++i)
        if (places[t[3 + i]].curve < 0) nodes[t[3 + i]] = 0.5 * (nodes[t[i]] + nodes[t[(i + 1) % 3]]);
  }

  bool fits(const Section& to, const Mesh& moved) const {
    if (moved.quality.smallest_angle < kSharpest * mesh.quality.smallest_angle) return false;
    const std::array<double, 2> edges = gap_edges(to, moved);
    for (const size_t s : {0U, 1U})
      if (edges[s] > kLongestEdge * std::max(1.0, longest[s])) return false;
    return true;
  }
};

MeshMover::MeshMover(const Section& section, const Mesh& mesh) : impl_(std::make_unique<Impl>(section, mesh)) {}
MeshMover::~MeshMover() = default;
MeshMover::MeshMover(MeshMover&&) noexcept = default;

const Mesh& MeshMover::mesh() const {
  return impl_->mesh;
}

std::optional<Mesh> MeshMover::moved(const Section& to) {
  if (!same_topology(impl_->section, to)) return std::nullopt;
  Mesh moved = impl_->mesh;
  const std::vector<Point> target = impl_->held(to);
  if (!impl_->at_rest(target)) {
    if (!impl_->move_corners(target, moved.nodes)) return std::nullopt;
    impl_->place_others(target, to, moved.nodes);
  }
  for (const int s : {0, 1}) {
    moved.gap[s].radius = to.sides[static_cast<size_t>(s)].gap_radius;
    moved.far[s].radius = to.sides[static_cast<size_t>(s)].far_radius;
  }
  moved.quality = measure_quality(moved);
  if (!impl_->fits(to, moved)) return std::nullopt;
  straighten_inverted(moved);
  return moved;
}

}  // namespace polepitch
