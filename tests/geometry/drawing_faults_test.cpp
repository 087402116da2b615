// One fault of each kind, drawn by hand; places and lines are read off the text.
#include "geometry/drawing_faults.h"

#include <array>

#include <gtest/gtest.h>

#include <fmt/format.h>

namespace polepitch {
namespace {

// Each LINE takes 12 lines of the file; the first begins with line 15, its type stands on line 16.
DxfDrawing drawn(const std::vector<std::array<double, 4>>& lines) {
  std::string text = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
  for (const auto& l : lines)
    text += fmt::format("0\nLINE\n8\nCORE\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n", l[0], l[1], l[2], l[3]);
  return parse_dxf(text + "0\nENDSEC\n0\nEOF\n", "part.dxf");
}

using FaultKind = DrawingFault::Kind;
constexpr double snap = 1e-6;

TEST(DrawingFaults, NoneInAClosedOutlineWithinTheSnap) {
  EXPECT_TRUE(drawing_faults(drawn({{0, 0, 10, 0}, {10, 0.0005, 10, 8}, {10, 8, 0, 0}}), snap).empty());
}

TEST(DrawingFaults, GapOfTheLastCorner) {
  const auto faults = drawing_faults(drawn({{0, 0, 10, 0}, {10, 0.05, 10, 8}, {10, 8, 0, 0}}), snap);
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_EQ(faults[0].kind, FaultKind::gap);
  EXPECT_NEAR(faults[0].at.x, 0.01, 1e-12);
  EXPECT_EQ(faults[0].diagnostic.place.line, 16);
  EXPECT_NE(faults[0].diagnostic.message.find("gap of 0.05 mm to the LINE of line 28"), std::string::npos);
}

TEST(DrawingFaults, OpenEndCrossingAndDoubleAllAtOnce) {
  const auto faults = drawing_faults(
      drawn({{0, 0, 10, 0}, {10, 0, 10, 8}, {10, 8, 0, 0}, {10, 0, 10, 8}, {5, -1, 5, 1}, {5, -1, 7, -1}}), snap);
  ASSERT_EQ(faults.size(), 4u);  // lines 52: double, 64: open and crossing, 76: open
  EXPECT_EQ(faults[0].kind, FaultKind::drawn_twice);
  EXPECT_EQ(faults[0].diagnostic.place.line, 52);
  EXPECT_NE(faults[0].diagnostic.message.find("lies on the LINE of line 28"), std::string::npos);
  EXPECT_EQ(faults[1].kind, FaultKind::open_end);
  EXPECT_EQ(faults[2].kind, FaultKind::crossing);
  EXPECT_NEAR(faults[2].at.x, 0.005, 1e-12);
  EXPECT_NEAR(faults[2].at.y, 0, 1e-12);
  EXPECT_EQ(faults[2].diagnostic.place.line, 64);
  EXPECT_EQ(faults[3].kind, FaultKind::open_end);
  EXPECT_NEAR(faults[3].at.x, 0.007, 1e-12);
}

}  // namespace
}  // namespace polepitch
