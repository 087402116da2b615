// Every ready case written as a drawing and read back: the same regions with the same areas. Expected: the areas of the
// section that was written, which the format must carry.
#include <gtest/gtest.h>

#include <map>

#include "cases/case.h"
#include "geometry/dxf_reader.h"
#include "geometry/dxf_writer.h"
#include "tests/cases/ready_case_helper.h"

namespace polepitch {
namespace {

// One side of a drawing, each text the label of the area around it.
std::map<std::string, double> areas_of(const DxfDrawing& drawing, const std::string& side, bool whole) {
  Sketch sketch;
  sketch.parts = drawing.sketch.parts;
  for (const SketchCurve& c : drawing.sketch.curves)
    if (drawing.entities[static_cast<std::size_t>(c.part)].layer.rfind(side, 0) == 0) sketch.curves.push_back(c);
  for (const DxfMark& mark : drawing.marks) {
    Region region;
    region.name = mark.words;
    if (mark.layer.rfind(side, 0) == 0) add_label(sketch, region, mark.at);
  }
  if (whole) add_empty_label(sketch, "inside", {0, 0});
  std::map<std::string, double> areas;
  for (const Region& region : arrange(sketch).regions) areas[region.name] += region.area;
  return areas;
}

TEST(Drawing, EveryReadyCaseReadsBackToTheSameAreas) {
  const std::vector<std::string> names = ready_cases();
  ASSERT_GE(names.size(), 17u);
  for (const std::string& name : names) {
    SCOPED_TRACE(name);
    const Case kase = read_case(std::string(SOURCE_DIR) + "/cases/machines/" + name + ".toml");
    const Section section = draw_section(kase.machine);
    const DxfDrawing drawing = parse_dxf(dxf_text(section), name + ".dxf");
    EXPECT_TRUE(drawing.warnings.empty());
    EXPECT_DOUBLE_EQ(drawing.unit, 1e-3);
    for (Side side : {Side::stator, Side::rotor}) {
      std::map<std::string, double> expected;
      const bool empty_middle = section.sectors == 1 && (side == Side::stator || section.sides[1].far_radius > 0);
      for (const Region& region : section.regions)
        if (region.side == side) expected[region.name] += region.area;
      const auto found = areas_of(drawing, side == Side::stator ? "STATOR-" : "ROTOR-", empty_middle);
      ASSERT_EQ(found.size(), expected.size());
      for (const auto& [region, area] : expected) {
        ASSERT_EQ(found.count(region), 1u) << region;
        EXPECT_NEAR(found.at(region) / area, 1, 1e-9) << region;
      }
    }
  }
}

TEST(Drawing, LayersAreNamedBySideAndRole) {
  const Case kase = read_case(std::string(SOURCE_DIR) + "/cases/machines/surface-magnet-motor.toml");
  const DxfDrawing drawing = parse_dxf(dxf_text(draw_section(kase.machine)), "motor.dxf");
  std::map<std::string, int> marks;
  for (const DxfMark& mark : drawing.marks) ++marks[mark.layer];
  EXPECT_EQ(marks["STATOR-CORE"], 1);
  EXPECT_EQ(marks["ROTOR-MAGNET"], 1);
  EXPECT_GE(marks["STATOR-WINDING"], 1);
  int gap_circle = 0;
  for (const DxfEntity& entity : drawing.entities) gap_circle += entity.layer == "STATOR-GAP-CIRCLE";
  EXPECT_GE(gap_circle, 1);
}

}  // namespace
}  // namespace polepitch
