#include "post/figure_section.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "field_machine_helper.h"
#include "post/figure_curve.h"
#include "post/figure_field.h"
#include "post/figure_flux_bars.h"
#include "post/figure_gap.h"
#include "post/figure_mesh.h"

namespace polepitch {
namespace {

using testing::small_machine;

// The small machine's sector is antiperiodic: a coil side changes its sign from one sector to the next.
TEST(FigureSection, LabelsCarryTheSectorsSign) {
  const auto m = small_machine();
  const auto coil = std::find_if(m->section.regions.begin(), m->section.regions.end(),
                                 [](const Region& r) { return r.role == Role::field_winding && r.turns > 0; });
  ASSERT_NE(coil, m->section.regions.end());
  EXPECT_EQ(coil_side_label(m->section, *coil, 0), "F+");
  EXPECT_EQ(coil_side_label(m->section, *coil, 1), "F\u2212");
  EXPECT_EQ(coil_side_label(m->section, *coil, 2), "F+");
}

// Gap circles and sector edges are of the method, not of the machine: no line shows them.
TEST(FigureSection, MethodLinesAreHidden) {
  const auto m = small_machine();
  for (Side side : {Side::stator, Side::rotor}) {
    const SideSection& s = m->section.sides[static_cast<std::size_t>(side)];
    const std::vector<int> curves = visible_curves(m->section, side);
    EXPECT_FALSE(curves.empty());
    for (const auto* hidden : {&s.gap_curves, &s.start_edge, &s.end_edge})
      for (int curve : *hidden) EXPECT_EQ(std::count(curves.begin(), curves.end(), curve), 0);
    for (int curve : s.far_curves) EXPECT_EQ(std::count(curves.begin(), curves.end(), curve), 1);
  }
}

TEST(FigureSection, ViewTurnsThePoleUpwards) {
  const auto m = small_machine();
  const View view = view_of(m->section, {.whole = false, .pole = 1}, 0.2, 0, 0, 100);
  const double angle = 0.2 + pi / 2;  // pole 1 of two pole pairs, rotor at 0.2
  const Point p = view({78e-3 * std::cos(angle), 78e-3 * std::sin(angle)});
  EXPECT_NEAR(p.x, 50, 1e-9);
  EXPECT_NEAR(p.y, 1, 1e-9);  // 1 % of the window below its upper edge
}

// By hand: sectors of 90°; the rotor's moves by whole sectors to within half a sector of the stator's, and both cover
// the middle.
TEST(FigureMesh, SectorsFaceEachOther) {
  constexpr double degree = pi / 180;
  struct Row {
    double stator, rotor, turn, middle;  // deg: starts of the sectors, and what is expected
  };
  for (const Row& row :
       {Row{45, 98, -90, 71.5}, Row{45, 45, 0, 90}, Row{0, -100, 90, 40}, Row{-45, 200, -270, -12.5}}) {
    Section section;
    section.sectors = 4;
    section.sides[0].start_angle = row.stator * degree;
    section.sides[1].start_angle = row.rotor * degree;
    const FacingSectors facing = facing_sectors(section);
    EXPECT_NEAR(facing.rotor_turn, row.turn * degree, 1e-12);
    EXPECT_NEAR(facing.middle, row.middle * degree, 1e-12);
  }
}

// Every picture of one machine in both formats: what they show is judged by eye; here that they are drawn at all,
// also without a field, with one point and with none.
TEST(Figures, EveryPictureIsDrawn) {
  const auto m = small_machine();
  const StaticSolution s = m->field->solve({{5, -2, -3, 6}, 0.3, 1});
  const StaticSolution nothing = m->field->solve({});
  const ResultCurve line{"s", "c", "curve", {{"x", "deg", {0, 1, 2}}, {"y", "T", {1, 1, 1}}, {"z", "A", {3, 4, 5}}}};
  const ResultCurve bars{"s", "c", "spectrum", {{"order", "", {1, 5, 7}}, {"y", "T", {1, 0.2, 0.1}}}, true};
  const ResultCurve point{"s", "c", "one point", {{"x", "A", {2}}, {"y", "T", {1}}}};
  const Canvas pictures[] = {
      draw_section_figure(m->section),
      draw_section_figure(m->section, {.window = {.whole = false}}),
      draw_mesh_figure(m->section, m->mesh),
      draw_field_figure(m->section, m->mesh, s.a, s.gap, s.rotor_angle),
      draw_field_figure(m->section, m->mesh, nothing.a, nothing.gap, 0),
      draw_gap_figure(s.gap, 2),
      draw_gap_figure(nothing.gap, 2),
      draw_curve_figure(line),
      draw_curve_figure(bars),
      draw_curve_figure(point),
      draw_curve_figure({"s", "c", "empty", {}}),
      draw_flux_bars_figure({"s", {{"stator tooth", 1.8, 1.6, 1.7, 1.7, "stator tooth 3", 0.2, {}}}}),
      draw_flux_bars_figure({"s", {}})};
  for (const Canvas& picture : pictures) {
    EXPECT_GT(picture.render(PictureFormat::png).size(), 2000u);
    const std::string svg = picture.render(PictureFormat::svg);
    EXPECT_NE(svg.find("</svg>"), std::string::npos);
    EXPECT_EQ(svg.find("nan"), std::string::npos);
  }
}

TEST(FigureCurve, ColumnsOfOneLengthOnly) {
  EXPECT_THROW(draw_curve_figure({"s", "c", "", {{"x", "", {1, 2}}, {"y", "", {1}}}}), std::logic_error);
}

// Orders 2, 6, 10 repeat after half a turn; one order 3 more makes it the whole circle (greatest common divisor).
TEST(FigureGap, Period) {
  GapField gap{0.05, 0.051, {{2, 0.03, 0.03}, {6, 0.01, 0.01}, {10, 0.002, 0.002}}};
  EXPECT_NEAR(gap_period(gap), pi, 1e-12);
  gap.harmonics.insert(gap.harmonics.begin() + 1, {3, 0.001, 0.001});
  EXPECT_NEAR(gap_period(gap), 2 * pi, 1e-12);
}

}  // namespace
}  // namespace polepitch
