#include "geometry/size_field.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

double doubled_area(Point a, Point b, Point c) {
  return (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
}

/// Every corner's length becomes at most a neighbour's plus growth × distance; repeated until nothing changes.
void limit_growth(const Mesh& mesh, double growth, std::vector<double>& size) {
  bool changed = true;
  for (int turn = 0; changed && turn < 200; ++turn) {
    changed = false;
    for (const auto& t : mesh.triangles)
      for (int i = 0; i < 3; ++i) {
        const int a = t[i], b = t[(i + 1) % 3];
        const double d = growth * std::hypot(mesh.nodes[a].x - mesh.nodes[b].x, mesh.nodes[a].y - mesh.nodes[b].y);
        const int larger = size[a] > size[b] ? a : b, smaller = larger == a ? b : a;
        if (size[larger] <= (size[smaller] + d) * (1 + 1e-9)) continue;
        size[larger] = size[smaller] + d;
        changed = true;
      }
  }
}

}  // namespace

double edge_length(const Mesh& mesh, int triangle) {
  const auto& t = mesh.triangles[triangle];
  return std::sqrt(2 / std::sqrt(3.0) * doubled_area(mesh.nodes[t[0]], mesh.nodes[t[1]], mesh.nodes[t[2]]));
}

WantedSizes wanted_sizes(const Mesh& mesh, const std::vector<double>& factor, double growth) {
  std::vector<double> sum(mesh.nodes.size(), 0.0), weight(mesh.nodes.size(), 0.0);
  for (size_t e = 0; e < mesh.triangles.size(); ++e) {
    const double wanted = std::log(edge_length(mesh, static_cast<int>(e)) * factor[e]);
    for (int i = 0; i < 3; ++i) {
      sum[mesh.triangles[e][i]] += wanted;
      weight[mesh.triangles[e][i]] += 1;
    }
  }
  // Both edges of the sector carry the same sizes, so that their meshes can be paired.
  for (const NodePair& pair : mesh.pairs) {
    sum[pair.slave] = sum[pair.master] = sum[pair.slave] + sum[pair.master];
    weight[pair.slave] = weight[pair.master] = weight[pair.slave] + weight[pair.master];
  }
  WantedSizes wanted{&mesh, std::vector<double>(mesh.nodes.size(), 0.0)};
  for (size_t n = 0; n < sum.size(); ++n)
    if (weight[n] > 0) wanted.at_node[n] = std::exp(sum[n] / weight[n]);
  limit_growth(mesh, growth, wanted.at_node);
  return wanted;
}

SizeField::SizeField(const WantedSizes& wanted, Side side) {
  const Mesh& mesh = *wanted.mesh;
  const int first = side == Side::stator ? 0 : mesh.stator_triangles;
  const int last = side == Side::stator ? mesh.stator_triangles : static_cast<int>(mesh.triangles.size());
  Point high{-1e300, -1e300};
  low_ = {1e300, 1e300};
  for (int e = first; e < last; ++e) {
    Triangle& t = triangles_.emplace_back();
    for (int i = 0; i < 3; ++i) {
      const int n = mesh.triangles[e][i];
      const Point p = mesh.nodes[n];
      t.corner[i] = {p.x, p.y, wanted.at_node[n]};
      low_ = {std::min(low_.x, p.x), std::min(low_.y, p.y)};
      high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
  }
  cell_ = 0.7 * std::sqrt((high.x - low_.x) * (high.y - low_.y) / std::max(1, last - first));
  columns_ = 1 + static_cast<int>((high.x - low_.x) / cell_);
  rows_ = 1 + static_cast<int>((high.y - low_.y) / cell_);
  cells_.resize(static_cast<size_t>(columns_) * rows_);
  const auto column = [&](double x) { return std::clamp(static_cast<int>((x - low_.x) / cell_), 0, columns_ - 1); };
  const auto row = [&](double y) { return std::clamp(static_cast<int>((y - low_.y) / cell_), 0, rows_ - 1); };
  for (size_t e = 0; e < triangles_.size(); ++e) {
    const auto& c = triangles_[e].corner;
    // A little more than the triangle, so that points just outside a curved border find it.
    const auto [x0, x1] = std::minmax({c[0].x, c[1].x, c[2].x});
    const auto [y0, y1] = std::minmax({c[0].y, c[1].y, c[2].y});
    const double slack = 0.1 * std::max(x1 - x0, y1 - y0);
    for (int j = row(y0 - slack); j <= row(y1 + slack); ++j)
      for (int i = column(x0 - slack); i <= column(x1 + slack); ++i)
        cells_[static_cast<size_t>(j) * columns_ + i].push_back(static_cast<int>(e));
  }
}

double SizeField::at(double x, double y) const {
  const int i = std::clamp(static_cast<int>((x - low_.x) / cell_), 0, columns_ - 1);
  const int j = std::clamp(static_cast<int>((y - low_.y) / cell_), 0, rows_ - 1);
  double best = 1e300, size = 0;
  for (int ring = 0; size == 0 && ring < std::max(columns_, rows_); ++ring)
    for (int v = std::max(0, j - ring); v <= std::min(rows_ - 1, j + ring); ++v)
      for (int u = std::max(0, i - ring); u <= std::min(columns_ - 1, i + ring); ++u)
        for (int e : cells_[static_cast<size_t>(v) * columns_ + u]) {
          const Corner &a = triangles_[e].corner[0], &b = triangles_[e].corner[1], &c = triangles_[e].corner[2];
          const double det = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
          const double lb = ((x - a.x) * (c.y - a.y) - (c.x - a.x) * (y - a.y)) / det;
          const double lc = ((b.x - a.x) * (y - a.y) - (x - a.x) * (b.y - a.y)) / det;
          const double outside = std::max({-lb, -lc, lb + lc - 1});
          if (outside >= best) continue;
          best = outside;
          const double kb = std::clamp(lb, 0.0, 1.0), kc = std::clamp(lc, 0.0, 1.0 - kb);
          size = (1 - kb - kc) * a.size + kb * b.size + kc * c.size;
          if (outside <= 1e-9) return size;
        }
  return size;
}

double SizeField::edges(double radius, double from, double to) const {
  constexpr int pieces = 200;
  double sum = 0;
  for (int k = 0; k < pieces; ++k) {
    const double angle = from + (k + 0.5) * (to - from) / pieces;
    sum += radius * (to - from) / pieces / at(radius * std::cos(angle), radius * std::sin(angle));
  }
  return sum;
}

}  // namespace polepitch
