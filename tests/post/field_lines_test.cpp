#include "post/field_lines.h"

#include <gtest/gtest.h>

#include <cmath>

namespace polepitch {
namespace {

// The square |x|, |y| ≤ 1 in 2 n² triangles.
Triangulation square(int n) {
  Triangulation mesh;
  for (int j = 0; j <= n; ++j)
    for (int i = 0; i <= n; ++i) mesh.nodes.push_back({-1 + 2.0 * i / n, -1 + 2.0 * j / n});
  for (int j = 0; j < n; ++j)
    for (int i = 0; i < n; ++i) {
      const int a = j * (n + 1) + i, b = a + 1, c = a + n + 1, d = c + 1;
      mesh.triangles.push_back({a, b, d});
      mesh.triangles.push_back({a, d, c});
    }
  return mesh;
}

template <typename Function>
std::vector<double> sample(const Triangulation& mesh, Function f) {
  std::vector<double> values;
  for (const Point& p : mesh.nodes) values.push_back(f(p.x, p.y));
  return values;
}

double area(const std::vector<Polyline>& loops) {  // shoelace, signed
  double sum = 0;
  for (const Polyline& loop : loops)
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const Point &p = loop.points[i], &q = loop.points[(i + 1) % loop.points.size()];
      sum += 0.5 * (p.x * q.y - q.x * p.y);
    }
  return sum;
}

// The lines of x² + y² are circles: formula. Linear interpolation moves them inwards by at most h²/(8 r) · 2.
TEST(FieldLines, CirclesAreClosedAndRound) {
  const Triangulation mesh = square(60);
  const std::vector<double> values = sample(mesh, [](double x, double y) { return x * x + y * y; });
  const double levels[] = {0.09, 0.25, 0.64};
  const auto lines = level_lines(mesh, values, levels);
  ASSERT_EQ(lines.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    ASSERT_EQ(lines[i].size(), 1u);
    EXPECT_TRUE(lines[i][0].closed);
    const double r = std::sqrt(levels[i]), h = std::sqrt(2.0) * 2 / 60;
    for (const Point& p : lines[i][0].points) EXPECT_NEAR(std::hypot(p.x, p.y), r, h * h / (4 * r));
    EXPECT_LT(area(lines[i]), 0);  // higher values on the left: the outside
  }
}

TEST(FieldLines, OpenLinesEndOnTheBorder) {
  const Triangulation mesh = square(17);
  const std::vector<double> values = sample(mesh, [](double x, double y) { return x + 0.3 * y; });
  const double levels[] = {-0.5, 0.0, 0.41};
  for (const auto& lines : level_lines(mesh, values, levels)) {
    ASSERT_EQ(lines.size(), 1u);
    ASSERT_FALSE(lines[0].closed);
    for (const Point& p : {lines[0].points.front(), lines[0].points.back()})
      EXPECT_NEAR(std::max(std::abs(p.x), std::abs(p.y)), 1, 1e-12);
  }
}

// {x + y/2 ≥ c} of the square is a polygon: 2 (1 − c) for |c| ≤ 1/2. Formula, exact for a linear function.
TEST(FieldLines, AreaAboveALinearFunction) {
  const Triangulation mesh = square(13);
  const std::vector<double> values = sample(mesh, [](double x, double y) { return x + 0.5 * y; });
  const auto border = border_edges(mesh);
  for (double c : {-0.4, 0.0, 0.123, 0.5}) {
    const auto loops = area_above(mesh, border, values, c);
    ASSERT_EQ(loops.size(), 1u);
    EXPECT_TRUE(loops[0].closed);
    EXPECT_NEAR(area(loops), 2 * (1 - c), 1e-12);
  }
  EXPECT_NEAR(area(area_above(mesh, border, values, -10)), 4, 1e-12);
  EXPECT_TRUE(area_above(mesh, border, values, 10).empty());
}

TEST(FieldLines, AHoleIsALoopOfItsOwn) {
  const Triangulation mesh = square(40);
  const std::vector<double> values = sample(mesh, [](double x, double y) { return std::hypot(x, y); });
  const auto loops = area_above(mesh, border_edges(mesh), values, 0.5);
  ASSERT_EQ(loops.size(), 2u);
  EXPECT_NEAR(area(loops), 4 - 0.25 * 3.14159265358979, 3e-3);  // the chord polygon of a circle in cells of 0.05
}

// Values that equal the level exactly at nodes are the usual trap: the line must stay whole.
TEST(FieldLines, LevelThroughNodes) {
  const Triangulation mesh = square(10);
  const std::vector<double> values = sample(mesh, [](double x, double) { return x; });
  const double levels[] = {0.0};
  const auto lines = level_lines(mesh, values, levels);
  ASSERT_EQ(lines[0].size(), 1u);
  for (const Point& p : lines[0][0].points) EXPECT_NEAR(p.x, 0, 1e-12);
}

TEST(FieldLines, EqualSteps) {
  const double values[] = {-3, 1, 5};
  double step = 0;
  const std::vector<double> levels = equal_steps(values, 4, &step);
  EXPECT_DOUBLE_EQ(step, 2);
  EXPECT_EQ(levels, (std::vector<double>{-2, 0, 2, 4}));
  const double constant[] = {7, 7};
  EXPECT_TRUE(equal_steps(constant, 4).empty());
}

}  // namespace
}  // namespace polepitch
