// One pole of an invented rotor as faces, in tests/geometry/drawings/pole.step and pole.brep, which Gmsh's geometry
// kernel wrote: a ring sector of 60 deg from 15 to 39.5 mm, a magnet over 0.8 of it up to 44.2 mm, an elliptic hole of
// half axes 5 and 3 mm at 27 mm. Expected: areas in closed form.
#include "geometry/solid_model.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <numbers>

namespace polepitch {
namespace {

const std::string drawings = std::string(TESTS_DIR) + "/geometry/drawings/";
constexpr double pi = std::numbers::pi;

std::map<std::string, double> areas_of(const DxfDrawing& drawing) {
  Sketch sketch = drawing.sketch;
  for (const DxfMark& mark : drawing.marks) {
    Region region;
    region.name = mark.words;
    add_label(sketch, region, mark.at);
  }
  std::map<std::string, double> areas;
  for (const Region& region : arrange(sketch, 1e-9).regions) areas[region.name] = region.area * 1e6;
  return areas;
}

void expect_pole(const DxfDrawing& drawing) {
  ASSERT_EQ(drawing.marks.size(), 3u);
  std::vector<double> areas;
  for (const auto& [name, area] : areas_of(drawing)) areas.push_back(area);
  std::sort(areas.begin(), areas.end());
  const double magnet = (44.2 * 44.2 - 39.5 * 39.5) / 2 * 0.8 * pi / 3, hole = pi * 15;
  const double core = (39.5 * 39.5 - 15 * 15) / 2 * pi / 3 - hole;
  // The ellipse is drawn as arcs within 1 um: half of its outline of 26 mm times that, at most.
  EXPECT_NEAR(areas[0], hole, 0.013);
  EXPECT_NEAR(areas[1], magnet, magnet * 1e-9);
  EXPECT_NEAR(areas[2], core, 0.013);
  int arcs = 0, lines = 0;
  for (const SketchCurve& c : drawing.sketch.curves) (c.arc ? arcs : lines) += 1;
  EXPECT_EQ(lines, 4 + 0);
  EXPECT_GT(arcs, 10);
}

TEST(SolidModel, StepAndBrepGiveTheSameFaces) {
  expect_pole(read_solid_model(drawings + "pole.step", {0, 1e-6}));
  expect_pole(read_solid_model(drawings + "pole.brep", {1e-3, 1e-6}));
}

TEST(SolidModel, WhatCannotBeReadIsSaid) {
  EXPECT_TRUE(is_solid_model("a/b.STEP"));
  EXPECT_TRUE(is_solid_model("x.stp"));
  EXPECT_FALSE(is_solid_model("x.dxf"));
  EXPECT_THROW(read_solid_model(drawings + "none.step", {}), FileError);
  EXPECT_THROW(read_solid_model(drawings + "pole.brep", {}), InputError);  // no unit
  const std::string path = ::testing::TempDir() + "/garbage.step";
  std::ofstream(path) << "this is no STEP file\n";
  try {
    read_solid_model(path, {});
    ADD_FAILURE() << "read";
  } catch (const InputError& error) {
    EXPECT_EQ(error.diagnostics().front().place.file, path);
    EXPECT_FALSE(error.diagnostics().front().hint.empty());
  }
}

}  // namespace
}  // namespace polepitch
