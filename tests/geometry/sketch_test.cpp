// Known figures: areas are formulas of plane geometry.
#include "geometry/sketch.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;

Region named(const std::string& name) {
  Region region;
  region.name = name;
  return region;
}

void add_box(Sketch& sketch, double x0, double x1, double y0, double y1, int part) {
  const Point p[4] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  for (int i = 0; i < 4; ++i) add_line(sketch, p[i], p[(i + 1) % 4], part);
}

std::string fault_of(const Sketch& sketch) {
  try {
    arrange(sketch);
  } catch (const GeometryError& error) {
    return error.diagnostics()[0].message;
  }
  return "";
}

TEST(Sketch, SquareWithRoundHole) {
  Sketch sketch;
  const int part = add_part(sketch, "plate");
  add_box(sketch, -1, 1, -1, 1, part);
  add_circle(sketch, {0.1, 0.2}, 0.5, part);
  add_label(sketch, named("plate"), {0.9, 0.9});
  add_label(sketch, named("disc"), {0.1, 0.2});
  const Arrangement a = arrange(sketch);
  ASSERT_EQ(a.regions.size(), 2u);
  EXPECT_EQ(a.regions[0].loops.size(), 2u);
  EXPECT_EQ(a.regions[1].loops.size(), 1u);
  EXPECT_NEAR(a.regions[0].area, 4 - 0.25 * pi, 1e-14);
  EXPECT_NEAR(a.regions[1].area, 0.25 * pi, 1e-14);
}

TEST(Sketch, EmptyLabelLeavesTheHole) {
  Sketch sketch;
  const int part = add_part(sketch, "tube");
  add_circle(sketch, {0, 0}, 2, part);
  add_circle(sketch, {0, 0}, 1, part);
  add_label(sketch, named("tube"), {1.5, 0});
  add_empty_label(sketch, "bore", {0, 0});
  const Arrangement a = arrange(sketch);
  ASSERT_EQ(a.regions.size(), 1u);
  EXPECT_NEAR(a.regions[0].area, 3 * pi, 1e-14);
}

TEST(Sketch, ChordSplitsTheCircleWhoseArcsItMeets) {
  Sketch sketch;
  const int part = add_part(sketch, "disc");
  add_circle(sketch, {0, 0}, 1, part);
  add_line(sketch, {0.5, -std::sqrt(0.75)}, {0.5, std::sqrt(0.75)}, part);
  add_label(sketch, named("large"), {-0.2, 0});
  add_label(sketch, named("small"), {0.8, 0});
  const Arrangement a = arrange(sketch);
  // Segment of half angle 60°: ½ (2π/3 − sin 2π/3).
  const double segment = 0.5 * (2 * pi / 3 - std::sin(2 * pi / 3));
  EXPECT_NEAR(a.regions[1].area, segment, 1e-14);
  EXPECT_NEAR(a.regions[0].area, pi - segment, 1e-14);
}

TEST(Sketch, OverlappingLinesAreDrawnOnce) {
  Sketch sketch;
  const int part = add_part(sketch, "boxes");
  add_box(sketch, 0, 1, 0, 1, part);
  add_box(sketch, 1, 2, 0.25, 0.5, part);  // shares part of one side
  add_label(sketch, named("left"), {0.5, 0.5});
  add_label(sketch, named("right"), {1.5, 0.3});
  const Arrangement a = arrange(sketch);
  EXPECT_EQ(a.points.size(), 8u);
  EXPECT_EQ(a.curves.size(), 9u);  // 4 + 4 lines, one of each in three and one piece, the common one once
  EXPECT_NEAR(a.regions[0].area, 1, 1e-15);
  EXPECT_NEAR(a.regions[1].area, 0.25, 1e-15);
}

TEST(Sketch, CurvesThatLeaveInOneDirectionAreOrderedByCurvature) {
  // A line and two arcs, all tangent to x at the origin.
  Sketch sketch;
  const int part = add_part(sketch, "horns");
  add_line(sketch, {0, 0}, {1, 0}, part);
  add_arc(sketch, {0, 0}, {1, 1}, {0, 1}, true, part);
  add_arc(sketch, {0, 0}, {1, -1}, {0, -1}, false, part);
  add_line(sketch, {1, -1}, {1, 0}, part);
  add_line(sketch, {1, 0}, {1, 1}, part);
  add_label(sketch, named("upper"), {0.9, 0.3});
  add_label(sketch, named("lower"), {0.9, -0.3});
  const Arrangement a = arrange(sketch);
  EXPECT_NEAR(a.regions[0].area, 1 - pi / 4, 1e-14);
  EXPECT_NEAR(a.regions[1].area, 1 - pi / 4, 1e-14);
}

TEST(Sketch, EndsWithinTheToleranceMeet) {
  Sketch sketch;
  const int part = add_part(sketch, "box");
  add_line(sketch, {0, 0}, {1, 4e-10}, part);
  add_line(sketch, {1, 0}, {1, 1}, part);
  add_line(sketch, {1, 1}, {0, 5e-10}, part);
  add_label(sketch, named("box"), {0.7, 0.3});
  EXPECT_NEAR(arrange(sketch).regions[0].area, 0.5, 1e-9);
}

TEST(Sketch, IslandsInIslands) {
  Sketch sketch;
  const int part = add_part(sketch, "rings");
  for (double r : {1.0, 2.0, 3.0, 4.0}) add_circle(sketch, {0, 0}, r, part);
  for (double r : {0.5, 1.5, 2.5, 3.5}) add_label(sketch, named("ring"), {0, r});
  const Arrangement a = arrange(sketch);
  for (int i = 0; i < 4; ++i) EXPECT_NEAR(a.regions[i].area, pi * (2 * i + 1), 1e-13);
}

TEST(SketchFaults, CrossingCurvesNameTheirParts) {
  Sketch sketch;
  add_box(sketch, 0, 1, 0, 1, add_part(sketch, "slot"));
  add_box(sketch, 0.5, 1.5, 0.5, 1.5, add_part(sketch, "magnet"));
  EXPECT_NE(fault_of(sketch).find("'slot' crosses 'magnet'"), std::string::npos) << fault_of(sketch);
}

TEST(SketchFaults, ArcThatCrossesALineTwice) {
  Sketch sketch;
  add_circle(sketch, {0, 0}, 1, add_part(sketch, "rotor"));
  add_line(sketch, {-2, 0.5}, {2, 0.5}, add_part(sketch, "shaft"));
  EXPECT_NE(fault_of(sketch).find("'rotor' crosses 'shaft'"), std::string::npos) << fault_of(sketch);
}

TEST(SketchFaults, FaceWithoutLabelOrWithTwo) {
  Sketch sketch;
  add_box(sketch, 0, 1, 0, 1, add_part(sketch, "yoke"));
  EXPECT_NE(fault_of(sketch).find("belongs to nothing; around it: yoke"), std::string::npos) << fault_of(sketch);
  add_label(sketch, named("core"), {0.2, 0.2});
  EXPECT_EQ(fault_of(sketch), "");
  add_label(sketch, named("tooth"), {0.8, 0.2});
  EXPECT_EQ(fault_of(sketch), "no line divides 'core' from 'tooth'");
}

TEST(SketchFaults, LabelOutsideAndOpenOutline) {
  Sketch sketch;
  const int part = add_part(sketch, "yoke");
  add_box(sketch, 0, 1, 0, 1, part);
  add_label(sketch, named("core"), {0.2, 0.2});
  add_label(sketch, named("bar"), {2, 2});
  EXPECT_EQ(fault_of(sketch), "'bar' lies outside of every outline");
  sketch.labels.pop_back();
  add_line(sketch, {0.5, 0}, {0.5, 0.5}, part);
  EXPECT_NE(fault_of(sketch).find("its outline is not closed"), std::string::npos) << fault_of(sketch);
}

}  // namespace
}  // namespace polepitch
