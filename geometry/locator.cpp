#include "geometry/locator.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

constexpr double kTwoPi = 2 * 3.14159265358979323846;
constexpr double kInside = 1e-9;  // of the reference triangle: taken at once

struct Mapped {
  double x, y, x1, x2, y1, y2;
};

/// Position and its derivatives in (l1, l2).
Mapped map_point(const Mesh& mesh, int triangle, double b, double c) {
  const auto& t = mesh.triangles[triangle];
  const double a = 1 - b - c;
  double v[6] = {a, b, c, 0, 0, 0}, d1[6] = {-1, 1, 0, 0, 0, 0}, d2[6] = {-1, 0, 1, 0, 0, 0};
  const int count = mesh.order == 2 ? 6 : 3;
  if (count == 6) {
    const double value[6] = {a * (2 * a - 1), b * (2 * b - 1), c * (2 * c - 1), 4 * a * b, 4 * b * c, 4 * c * a};
    const double first[6] = {1 - 4 * a, 4 * b - 1, 0, 4 * (a - b), 4 * c, -4 * c};
    const double second[6] = {1 - 4 * a, 0, 4 * c - 1, -4 * b, 4 * b, 4 * (a - c)};
    std::copy(value, value + 6, v);
    std::copy(first, first + 6, d1);
    std::copy(second, second + 6, d2);
  }
  Mapped m{};
  for (int i = 0; i < count; ++i) {
    const Point& n = mesh.nodes[t[i]];
    m.x += v[i] * n.x;
    m.y += v[i] * n.y;
    m.x1 += d1[i] * n.x;
    m.x2 += d2[i] * n.x;
    m.y1 += d1[i] * n.y;
    m.y2 += d2[i] * n.y;
  }
  return m;
}

}  // namespace

Locator::Locator(const Section& section, const Mesh& mesh, Side side)
    : mesh_(mesh),
      start_angle_(section.sides[static_cast<int>(side)].start_angle),
      sector_angle_(section.sector_angle()),
      sign_(section.sign),
      sectors_(section.sectors) {
  const int first = side == Side::stator ? 0 : mesh.stator_triangles;
  const int last = side == Side::stator ? mesh.stator_triangles : static_cast<int>(mesh.triangles.size());
  Point high{-1e300, -1e300};
  low_ = {1e300, 1e300};
  for (int t = first; t < last; ++t)
    for (int node : mesh.triangles[t]) {
      if (node < 0) continue;
      low_ = {std::min(low_.x, mesh.nodes[node].x), std::min(low_.y, mesh.nodes[node].y)};
      high = {std::max(high.x, mesh.nodes[node].x), std::max(high.y, mesh.nodes[node].y)};
    }
  const double area = std::max((high.x - low_.x) * (high.y - low_.y), 1e-30);
  cell_ = std::sqrt(area / std::max(1, last - first));
  columns_ = 1 + static_cast<int>((high.x - low_.x) / cell_);
  rows_ = 1 + static_cast<int>((high.y - low_.y) / cell_);
  cells_.resize(static_cast<size_t>(columns_) * rows_);
  for (int t = first; t < last; ++t) {
    double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300;
    for (int node : mesh.triangles[t]) {
      if (node < 0) continue;
      x0 = std::min(x0, mesh.nodes[node].x), x1 = std::max(x1, mesh.nodes[node].x);
      y0 = std::min(y0, mesh.nodes[node].y), y1 = std::max(y1, mesh.nodes[node].y);
    }
    // A curved edge bulges past its three nodes by less than a tenth of the triangle.
    const double slack = 0.1 * std::max(x1 - x0, y1 - y0);
    const auto clip = [](double v, int n) { return std::clamp(static_cast<int>(std::floor(v)), 0, n - 1); };
    for (int j = clip((y0 - slack - low_.y) / cell_, rows_); j <= clip((y1 + slack - low_.y) / cell_, rows_); ++j)
      for (int i = clip((x0 - slack - low_.x) / cell_, columns_); i <= clip((x1 + slack - low_.x) / cell_, columns_);
           ++i)
        cells_[static_cast<size_t>(j) * columns_ + i].push_back(t);
  }
}

double Locator::outside_by(int triangle, Point p, Located& at) const {
  double b = 1.0 / 3, c = 1.0 / 3;
  for (int k = 0; k < 12; ++k) {
    const Mapped m = map_point(mesh_, triangle, b, c);
    const double det = m.x1 * m.y2 - m.x2 * m.y1, rx = p.x - m.x, ry = p.y - m.y;
    const double db = (rx * m.y2 - ry * m.x2) / det, dc = (ry * m.x1 - rx * m.y1) / det;
    b += db;
    c += dc;
    if (!(std::abs(b) < 4 && std::abs(c) < 4)) return 1;
    if (std::abs(db) + std::abs(dc) < 1e-13) break;
  }
  at.triangle = triangle;
  at.l1 = b;
  at.l2 = c;
  return std::max({-b, -c, b + c - 1});
}

Located Locator::find(Point p, double reach) const {
  Located at;  // triangle −1 until found
  const double turn = std::atan2(p.y, p.x) - start_angle_;
  // Points on the sector's first edge stay in it: a rounding error of their angle must not fold them away.
  int copy = static_cast<int>(std::floor(turn / sector_angle_ + 1e-9));
  if (sectors_ == 1) copy = 0;
  const double back = -copy * sector_angle_;
  if (copy != 0) p = {p.x * std::cos(back) - p.y * std::sin(back), p.x * std::sin(back) + p.y * std::cos(back)};
  at.copy = ((copy % sectors_) + sectors_) % sectors_;
  at.sign = sign_ < 0 && (copy % 2 != 0) ? -1 : 1;
  const auto clip = [](double v, int n) { return std::clamp(static_cast<int>(std::floor(v)), 0, n - 1); };
  const int i = clip((p.x - low_.x) / cell_, columns_), j = clip((p.y - low_.y) / cell_, rows_);
  Located best = at;
  double least = reach;  // a true arc runs outside its quadratic edge by (edge/radius)^4
  for (int dj = -1; dj <= 1; ++dj)
    for (int di = -1; di <= 1; ++di) {
      // The point's own cell first; its neighbours only serve points on the border.
      const int ci = i + (di == -1 ? 0 : di == 0 ? -1 : 1), cj = j + (dj == -1 ? 0 : dj == 0 ? -1 : 1);
      if (ci < 0 || cj < 0 || ci >= columns_ || cj >= rows_) continue;
      for (int t : cells_[static_cast<size_t>(cj) * columns_ + ci]) {
        Located candidate = at;
        const double outside = outside_by(t, p, candidate);
        if (outside < kInside) return candidate;
        if (outside < least) {
          least = outside;
          best = candidate;
        }
      }
    }
  return best;
}

}  // namespace polepitch
