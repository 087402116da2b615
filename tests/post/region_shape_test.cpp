#include "post/region_shape.h"

#include <gtest/gtest.h>

#include "solver/bh_curve.h"

using namespace polepitch;

// formula: half disc of radius r: centre 4 r/(3 π) from its diameter, outline (π + 2) r
TEST(RegionShape, half_disc) {
  Section section;
  SideSection& side = section.sides[0];
  side.points = {{0.5, -0.1}, {0.5, 0.1}};
  side.curves = {{0, 1, true, {0.5, 0}, true}, {0, 1, false, {}, true}};
  Region region;
  region.loops = {{0, -2}};
  const Point centre = centre_of_area(section, region);
  EXPECT_NEAR(centre.x, 0.5 + 0.4 / (3 * pi), 1e-12);
  EXPECT_NEAR(centre.y, 0, 1e-12);
  EXPECT_NEAR(outline_length(section, region), (pi + 2) * 0.1, 1e-12);
}
