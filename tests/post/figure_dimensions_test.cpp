// The drawing with dimensions is readable for every machine of the catalogue: labels keep apart, stay on the page and
// fit into their column; leaders end inside the drawing (code tests).
#include "post/figure_dimensions.h"

#include <gtest/gtest.h>

#include <cmath>

#include "machine_helper.h"

namespace polepitch {
namespace {

void expect_readable(const std::vector<Dimension>& dimensions, Side side, const Canvas& page, const std::string& what) {
  const DimensionLayout layout = lay_out_dimensions(dimensions, side);
  EXPECT_GE(layout.labels.size(), 3U) << what;
  const double column = 148, field = page.width() - 2 * column - 24;  // as the figure is made
  for (const DimensionLabel& a : layout.labels) {
    EXPECT_LE(text_width("(" + a.dimension.name + ")", {.size = 10}), column) << what << ": " << a.dimension.name;
    EXPECT_GE(a.y, dimension_label_height / 2) << what;
    EXPECT_LE(a.y, page.height() - dimension_label_height) << what;
    EXPECT_GE(a.anchor.x, column) << what << ": " << a.dimension.name;
    EXPECT_LE(a.anchor.x, 24 + column + field) << what << ": " << a.dimension.name;
    EXPECT_GE(a.anchor.y, 40) << what << ": " << a.dimension.name;
    EXPECT_LE(a.anchor.y, page.height() - 30) << what << ": " << a.dimension.name;
    for (const DimensionLabel& b : layout.labels) {
      if (&a == &b || a.left != b.left) continue;
      EXPECT_GE(std::abs(a.y - b.y), dimension_label_height - 1e-9)
          << what << ": " << a.dimension.name << " and " << b.dimension.name;
    }
  }
}

TEST(FigureDimensions, EveryMachineIsReadable) {
  for (const testing::MachineTexts& texts : testing::all_rotor_texts()) {
    const Machine machine = testing::make_machine(texts);
    const Section section = draw_section(machine);
    const std::vector<Dimension> dimensions = dimensions_of(machine);
    for (Side side : {Side::stator, Side::rotor})
      expect_readable(dimensions, side, draw_dimensions_figure(section, dimensions, side, "machine"),
                      texts.rotor_type + (side == Side::stator ? ", stator" : ", rotor"));
  }
}

/// Nothing lies outside of the machine: the picture of its outer side begins close above it.
TEST(FigureDimensions, NoRoomIsLeftOutsideOfTheMachine) {
  for (const testing::MachineTexts& texts : testing::all_rotor_texts()) {
    const std::vector<Dimension> dimensions = dimensions_of(testing::make_machine(texts));
    const Dimension* outermost = nullptr;
    for (const Dimension& d : dimensions)
      if (d.diameter && (!outermost || length_of(d) > length_of(*outermost))) outermost = &d;
    ASSERT_NE(outermost, nullptr) << texts.rotor_type;
    const DimensionLayout layout = lay_out_dimensions(dimensions, outermost->side);
    const double top = layout.axis.y - layout.scale * length_of(*outermost) / 2, edge = 50,
                 height = 400;  // of the field
    EXPECT_GE(top, edge) << texts.rotor_type;
    EXPECT_LE(top, edge + 0.07 * height) << texts.rotor_type;
  }
}

TEST(FigureDimensions, TextSaysMillimetresAndDiameters) {
  Dimension d{"opening width", "stator.slot.opening_width", Side::stator, {0, 0}, {0.0032, 0}};
  EXPECT_EQ(dimension_text(d), "3.2 mm");
  d.diameter = true;
  EXPECT_EQ(dimension_text(d), "\u2300 3.2 mm");
}

}  // namespace
}  // namespace polepitch
