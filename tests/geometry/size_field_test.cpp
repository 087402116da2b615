#include "geometry/size_field.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/geometry/machine_helper.h"

namespace polepitch::test {
namespace {

Section salient() {
  return draw_section(testing::make_machine(testing::salient_texts()));
}

// Wanted sizes linear in x are given back at any point (the interpolation is linear: by construction).
TEST(SizeField, IsLinearBetweenNodes) {
  const Section section = salient();
  const Mesh mesh = mesh_section(section, {.density = 0.5});
  WantedSizes wanted{&mesh, {}};
  for (const Point& p : mesh.nodes) wanted.at_node.push_back(0.001 + 0.01 * std::abs(p.x));
  const SizeField field(wanted, Side::stator);
  for (int e = 0; e < mesh.stator_triangles; e += 7) {
    const auto& t = mesh.triangles[e];
    const double x = 0.2 * mesh.nodes[t[0]].x + 0.5 * mesh.nodes[t[1]].x + 0.3 * mesh.nodes[t[2]].x;
    const double y = 0.2 * mesh.nodes[t[0]].y + 0.5 * mesh.nodes[t[1]].y + 0.3 * mesh.nodes[t[2]].y;
    const double expected = 0.2 * wanted.at_node[t[0]] + 0.5 * wanted.at_node[t[1]] + 0.3 * wanted.at_node[t[2]];
    EXPECT_NEAR(field.at(x, y), expected, 1e-12);
  }
}

TEST(SizeField, GrowthIsLimitedAlongEveryEdge) {
  const Mesh mesh = mesh_section(salient(), {.density = 0.5});
  std::vector<double> factor(mesh.triangles.size(), 3.0);
  factor[10] = 0.01;
  const WantedSizes wanted = wanted_sizes(mesh, factor, 0.4);
  for (const auto& t : mesh.triangles)
    for (int i = 0; i < 3; ++i) {
      const int a = t[i], b = t[(i + 1) % 3];
      const double d = std::hypot(mesh.nodes[a].x - mesh.nodes[b].x, mesh.nodes[a].y - mesh.nodes[b].y);
      EXPECT_LE(wanted.at_node[a], wanted.at_node[b] + 0.4 * d + 1e-9);
    }
}

// Halved edges: four times the triangles, but for what thin parts and the gap circles' least edges hold.
TEST(SizeField, AnAdaptedMeshFollowsIt) {
  const Section section = salient();
  const Mesh mesh = mesh_section(section, {.density = 1});
  const WantedSizes wanted = wanted_sizes(mesh, std::vector<double>(mesh.triangles.size(), 0.5), 1.0);
  const Mesh finer = mesh_section(section, {.adapted = &wanted}), again = mesh_section(section, {.adapted = &wanted});
  EXPECT_GT(finer.triangles.size(), 3 * mesh.triangles.size());
  EXPECT_LT(finer.triangles.size(), 7 * mesh.triangles.size());
  EXPECT_GE(finer.gap[0].nodes.size(), mesh.gap[0].nodes.size());
  ASSERT_EQ(finer.nodes.size(), again.nodes.size());
  for (size_t n = 0; n < finer.nodes.size(); ++n) ASSERT_EQ(finer.nodes[n].x, again.nodes[n].x);  // bit for bit
}

}  // namespace
}  // namespace polepitch::test
