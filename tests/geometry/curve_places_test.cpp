// Places on curves and what counts as the same topology. Expected: plane geometry (formula).
#include "geometry/curve_places.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "tests/geometry/machine_helper.h"

namespace polepitch {
namespace {

/// A line from (1, 0) to (3, 0) and quarter circles about the origin and about (3, 1), one each way.
SideSection three_curves() {
  SideSection side;
  side.points = {{1, 0}, {3, 0}, {0, 1}, {4, 1}};
  side.curves.push_back({0, 1, false, {}, true});
  side.curves.push_back({0, 2, true, {0, 0}, true});
  side.curves.push_back({3, 1, true, {3, 1}, false});
  side.gap_radius = 1;
  return side;
}

TEST(CurvePlaces, PointsAtSharesOfTheLength) {
  const SideSection side = three_curves();
  const auto expect_point = [&](CurvePlace place, double x, double y) {
    const Point p = point_at(side, place);
    EXPECT_NEAR(p.x, x, 1e-15);
    EXPECT_NEAR(p.y, y, 1e-15);
  };
  expect_point({0, 0.25}, 1.5, 0);
  expect_point({0, 1}, 3, 0);
  expect_point({1, 1.0 / 3}, std::cos(std::acos(-1.0) / 6), 0.5);
  expect_point({1, 1}, 0, 1);
  expect_point({2, 0.5}, 3 + std::sqrt(0.5), 1 - std::sqrt(0.5));
}

TEST(CurvePlaces, AreFoundAgainFromTheirPoints) {
  Section section;
  section.sides[0] = section.sides[1] = three_curves();
  Mesh mesh;
  const std::vector<CurvePlace> wanted = {{0, 0.25}, {1, 0.7}, {2, 0.1}};
  for (const CurvePlace& place : wanted) mesh.nodes.push_back(point_at(section.sides[0], place));
  mesh.nodes.push_back({1.5, 1e-6});  // near a curve is not on it
  mesh.nodes.push_back({0.3, 0.3});
  mesh.stator_nodes = 5;
  const std::vector<CurvePlace> found = curve_places(section, mesh);
  for (size_t i = 0; i < wanted.size(); ++i) {
    EXPECT_EQ(found[i].curve, wanted[i].curve);
    EXPECT_NEAR(found[i].share, wanted[i].share, 1e-14);
  }
  EXPECT_EQ(found[3].curve, -1);
  EXPECT_EQ(found[4].curve, -1);
}

TEST(CurvePlaces, MeasuresDoNotChangeTheTopologyAndShapesDo) {
  const auto section = [](const std::function<void(testing::MachineTexts&)>& change) {
    testing::MachineTexts texts = testing::salient_texts();
    change(texts);
    return draw_section(testing::make_machine(texts));
  };
  const Section plain = section([](auto&) {});
  EXPECT_TRUE(same_topology(plain, plain));
  EXPECT_TRUE(same_topology(plain, section([](auto& t) {
                              t.general["length"] = "77 mm";
                              t.rotor["air_gap"] = "1.23 mm";
                              t.winding["turns_per_coil"] = "3";
                            })));
  EXPECT_FALSE(same_topology(plain, section([](auto& t) { t.stator["slots"] = "24"; })));
  EXPECT_FALSE(same_topology(plain, draw_section(testing::make_machine(testing::magnet_texts()))));
}

}  // namespace
}  // namespace polepitch
