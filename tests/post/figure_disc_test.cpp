#include "post/figure_disc.h"

#include <gtest/gtest.h>

#include <cmath>

#include "field_machine_helper.h"
#include "post/gap_samples.h"

namespace polepitch {
namespace {

using testing::small_machine;

double area(const Triangulation& mesh, double* smallest = nullptr) {
  double sum = 0;
  if (smallest) *smallest = 1e300;
  for (const auto& t : mesh.triangles) {
    const Point &a = mesh.nodes[static_cast<std::size_t>(t[0])], &b = mesh.nodes[static_cast<std::size_t>(t[1])],
                &c = mesh.nodes[static_cast<std::size_t>(t[2])];
    const double own = 0.5 * ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y));
    sum += own;
    if (smallest) *smallest = std::min(*smallest, own);
  }
  return sum;
}

// A is fixed at both far circles (no flux crosses them), so every line of A away from 0 must close on itself: through
// both meshes, the annulus, and over the edges of all sectors.
TEST(FigureDisc, FluxLinesAreUnbroken) {
  const auto m = small_machine();
  for (double angle : {0.0, 0.31, -1.7}) {
    const StaticSolution s = m->field->solve({{5, -2, -3, 6}, angle, 1});
    const NodalField disc = disc_potential(m->mesh, s.a, s.gap, angle);
    int lines = 0;
    for (const auto& level : level_lines(disc.mesh, disc.values, equal_steps(disc.values, 20)))
      for (const Polyline& line : level) {
        EXPECT_TRUE(line.closed) << "angle " << angle;
        ++lines;
      }
    EXPECT_GE(lines, 40);  // 20 levels, each in at least two of the four poles
  }
}

// The triangles cover the ring between the far circles once: same area but for the chords of the circles, none turned
// over.
TEST(FigureDisc, CoversTheSectionOnce) {
  const auto m = small_machine();
  const StaticSolution s = m->field->solve({{0, 0, 0, 6}, 0.2, 1});
  double smallest = 0;
  const double covered = area(disc_potential(m->mesh, s.a, s.gap, 0.2).mesh, &smallest);
  const double exact = pi * (78e-3 * 78e-3 - 20e-3 * 20e-3);
  EXPECT_GT(smallest, 0);
  EXPECT_NEAR(covered, exact, 2e-3 * exact);
}

// A = c x is in the element's space: |B| = |c| everywhere (formula), straight and curved elements alike.
TEST(FigureDisc, UniformFieldIsUniform) {
  const auto m = small_machine();
  std::vector<double> a;
  for (const Point& p : m->mesh.nodes) a.push_back(-0.7 * p.x);
  for (Side side : {Side::stator, Side::rotor}) {
    const NodalField b = sector_flux_density(m->mesh, a, side);
    ASSERT_FALSE(b.values.empty());
    for (double value : b.values) ASSERT_NEAR(value, 0.7, 1e-10);
  }
}

// Area of one side's sector: a quarter ring (formula), less the chords.
TEST(FigureDisc, SectorFieldCoversTheSector) {
  const auto m = small_machine();
  const std::vector<double> a(m->mesh.nodes.size(), 0.0);
  const double exact = pi / 4 * (78e-3 * 78e-3 - std::pow(m->mesh.gap[0].radius, 2));
  EXPECT_NEAR(area(sector_flux_density(m->mesh, a, Side::stator).mesh), exact, 3e-3 * exact);
}

// By construction: the table of angles must say what GapField says.
TEST(GapSamples, EqualTheFieldPointByPoint) {
  GapField gap{
      0.05, 0.051, {{2, {0.03, 0.01}, {0.028, 0.012}}, {6, {-0.002, 0.001}, {0.001, 0}}, {50, {1e-4, 0}, {0, 1e-4}}}};
  const CircleSamples s = sample_circle(gap, 0.0506, 36);
  for (std::size_t k = 0; k < 36; ++k) {
    const double angle = 2 * pi * static_cast<double>(k) / 36;
    EXPECT_NEAR(s.a[k], gap.potential(0.0506, angle), 1e-13);
    EXPECT_NEAR(s.b_radial[k], gap.flux_density(0.0506, angle).radial, 1e-11);
    EXPECT_NEAR(s.b_tangential[k], gap.flux_density(0.0506, angle).tangential, 1e-11);
  }
}

}  // namespace
}  // namespace polepitch
