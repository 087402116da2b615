// A contour map's picture: labelled lines of a plane in closed form, gaps where there is no value, lightness that
// falls.
#include "post/figure_map.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

namespace polepitch {
namespace {

ContourMap plane() {
  ContourMap map{"flux-map", "demo", "A demo map", "i_d", "A", "i_q", "A", "torque", "N m", {}, {}, {}};
  for (int k = 0; k <= 20; ++k) {
    map.x.push_back(-50 + 5 * k);
    map.y.push_back(-50 + 5 * k);
  }
  for (double y : map.y)
    for (double x : map.x) map.z.push_back(x + y);  // −100 … 100
  return map;
}

TEST(FigureMap, LabelsLinesAndDrawsCurvesOver) {
  ContourMap map = plane();
  map.lines = {{"maximum torque per ampere", {-40, 0, 40}, {-30, 10, 30}}};
  const std::string svg = draw_map_figure(map, "machine").render(PictureFormat::svg);
  EXPECT_GT(svg.size(), 10000u);
  EXPECT_EQ(draw_map_figure(map).render(PictureFormat::png).substr(1, 3), "PNG");
}

TEST(FigureMap, LevelsAreTidyAndInside) {
  const std::vector<double> levels = tidy_levels(plane().z);
  ASSERT_GE(levels.size(), 5u);
  for (double level : levels) EXPECT_NEAR(std::remainder(level, levels[1] - levels[0]), 0, 1e-9);
  EXPECT_GT(levels.front(), -100);
  EXPECT_LT(levels.back(), 100);
  EXPECT_TRUE(tidy_levels({3, 3, 3}).empty());
}

TEST(FigureMap, LeavesGapsAndRefusesListsThatDoNotGoTogether) {
  ContourMap map = plane();
  for (size_t i = 0; i < 200; ++i) map.z[i] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NO_THROW(draw_map_figure(map));
  map.y_of = map.z;
  for (size_t i = 0; i < map.z.size(); ++i) map.y_of[i] = 0.5 * map.y[i / map.x.size()];
  EXPECT_NO_THROW(draw_map_figure(map));  // rows that bend
  map.y_of.pop_back();
  EXPECT_THROW(draw_map_figure(map), std::logic_error);
  map.y_of.clear();
  for (double& z : map.z) z = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NO_THROW(draw_map_figure(map));
  map.z.pop_back();
  EXPECT_THROW(draw_map_figure(map), std::logic_error);
}

}  // namespace
}  // namespace polepitch
