// A construction's picture names its points, lines, axes and source.
#include "post/figure_construction.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

TEST(FigureConstruction, ShowsEveryNameAndStaysOnThePage) {
  Construction c{"characteristics", "demo", "A demo construction", "common practice", "field_current", "A",
                 "voltage",         "V"};
  c.lines = {{"first curve", {0, 1, 2}, {0, 3, 4}},
             {"", {1, 1}, {0, 3}, ConstructionLine::Kind::help},
             {"phasor P", {0, 1}, {0, 3}, ConstructionLine::Kind::arrow}};
  c.points = {{"A", 1, 3, "where it bends"}, {"B", 2, 4, "its end"}};
  for (bool equal : {false, true}) {
    c.equal_scales = equal;
    const std::string svg = draw_construction_figure(c, "machine").render(PictureFormat::svg);
    EXPECT_GT(svg.size(), 5000u);
    const std::string png = draw_construction_figure(c).render(PictureFormat::png);
    EXPECT_EQ(png.substr(1, 3), "PNG");
  }
}

}  // namespace
}  // namespace polepitch
