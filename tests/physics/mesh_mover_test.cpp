// Meshes moved from one section to another. Expected: the exact areas of the drawn faces and radii of the circles
// (formula), and what the header promises.
#include "solver/mesh_mover.h"

#include <gtest/gtest.h>

#include <cmath>

#include "geometry/curves.h"
#include "geometry/mesh_quality.h"
#include "solver/element_tables.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

using Change = std::pair<std::string, std::string>;
const std::vector<Change> kChanges = {
    {"opening_width = \"4 mm\"", "opening_width = \"5 mm\""}, {"opening_width = \"4 mm\"", "opening_width = \"3 mm\""},
    {"air_gap = \"1.5 mm\"", "air_gap = \"1.2 mm\""},         {"shoe_width = \"84 mm\"", "shoe_width = \"88 mm\""},
    {"body_width = \"50 mm\"", "body_width = \"48 mm\""},     {"tooth_width = \"10 mm\"", "tooth_width = \"8.5 mm\""}};
const Change kSlots = {"slots = 24", "slots = 36"}, kNarrow = {"air_gap = \"1.5 mm\"", "air_gap = \"0.8 mm\""};

Section section_of(const std::string& from, const std::string& to) {
  return draw_section(
      read_case_text(from.empty() ? case_text("salient") : replaced(case_text("salient"), from, to)).machine);
}

/// Areas of the regions from the curved triangles.
std::vector<double> areas(const Section& section, const Mesh& mesh) {
  std::vector<double> area(section.regions.size(), 0.0);
  for (size_t e = 0; e < mesh.triangles.size(); ++e)
    for (const QuadraturePoint& q : kTriangleRule)
      area[static_cast<size_t>(mesh.region[e])] += q.weight * element_point(mesh, static_cast<int>(e), q.at).jacobian;
  return area;
}

/// The largest share by which a region of the mesh misses the drawn one: edges are parabolas, or straight where a
/// coarse triangle would turn inside out.
double missed_area(const Section& section, const Mesh& mesh) {
  const std::vector<double> area = areas(section, mesh);
  double missed = 0;
  for (size_t r = 0; r < area.size(); ++r) missed = std::max(missed, std::abs(area[r] / section.regions[r].area - 1));
  return missed;
}

/// `allowed`: what the mesh that was moved misses, whose edges lie on the same curves.
void expect_fits(const Section& to, const Mesh& mesh, double allowed) {
  EXPECT_LT(missed_area(to, mesh), 2 * allowed);
  for (const int s : {0, 1})
    for (const int n : mesh.gap[s].nodes)
      EXPECT_NEAR(std::hypot(mesh.nodes[n].x, mesh.nodes[n].y), to.sides[s].gap_radius, 1e-12);
  for (const NodePair& pair : mesh.pairs)
    EXPECT_LT(distance(turned(mesh.nodes[pair.master], to.sector_angle()), mesh.nodes[pair.slave]), 1e-12);
}

class MovedMesh : public ::testing::Test {
 protected:
  const Section from_ = section_of("", "");
  const Mesh mesh_ = mesh_section(from_, {0.6});
  MeshMover mover_{from_, mesh_};
};

TEST_F(MovedMesh, IsTheSameOnTheSameSection) {
  const auto moved = mover_.moved(from_);
  ASSERT_TRUE(moved);
  for (size_t n = 0; n < mesh_.nodes.size(); ++n) {
    ASSERT_EQ(moved->nodes[n].x, mesh_.nodes[n].x);
    ASSERT_EQ(moved->nodes[n].y, mesh_.nodes[n].y);
  }
}

TEST_F(MovedMesh, FitsWiderOpeningsGapsAndPoles) {
  for (const auto& [from, to] : kChanges) {
    SCOPED_TRACE(to);
    const Section section = section_of(from, to);
    const auto moved = mover_.moved(section);
    ASSERT_TRUE(moved);
    EXPECT_EQ(moved->triangles, mesh_.triangles);
    EXPECT_GT(moved->quality.smallest_angle, 0.35 * mesh_.quality.smallest_angle);
    expect_fits(section, *moved, missed_area(from_, mesh_));
  }
}

TEST_F(MovedMesh, IsRefusedForAnotherTopologyAndForTooLongEdgesOfTheGap) {
  EXPECT_FALSE(mover_.moved(section_of(kSlots.first, kSlots.second)));
  EXPECT_FALSE(mover_.moved(section_of(kNarrow.first, kNarrow.second)));
}

}  // namespace
}  // namespace polepitch::test
