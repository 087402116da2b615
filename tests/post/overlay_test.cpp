// Loci, constructions and phasors of several runs over each other (code tests, by construction).
#include "post/overlay.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

RunRecord run(const std::string& label, double size) {
  RunRecord record{label, label, "machine", "0.1.0", {}};
  Construction chart{"capability", "chart", "Capability", "", "Q", "kvar", "P", "kW", false, {}, {}};
  chart.lines = {{"allowed", {-size, 0, size, -size}, {0, size, 0, 0}, ConstructionLine::Kind::curve},
                 {"help", {0, 1}, {0, 1}, ConstructionLine::Kind::help}};
  record.results.constructions = {chart};
  PhasorDiagram phasors;
  phasors.study = "load-point", phasors.title = "Phasors";
  phasors.arrows = {{"U", "V", {}, {size, 0}, ""}, {"I", "A", {}, {1, -1}, ""}, {"R I", "V", {size, 0}, {1, 2}, ""}};
  record.results.phasor_diagrams = {phasors};
  record.results.curves = {{"slip", "locus", "Locus", {{"I_real", "A", {1, 2, 1}}, {"I_imaginary", "A", {0, size, 0}}}},
                           {"slip", "curve", "Curve", {{"slip", "", {0, 1}}, {"torque", "N m", {0, size}}}}};
  return record;
}

const Overlay& named(const std::vector<Overlay>& all, const std::string& name) {
  for (const Overlay& o : all)
    if (o.name == name) return o;
  throw std::logic_error("no overlay " + name);
}

TEST(Overlay, EachRunKeepsItsOwnPoints) {
  const auto all = overlays_of({run("a", 10), run("b", 30)});
  ASSERT_EQ(all.size(), 4u);  // locus, chart, voltages, currents; the rising curve is a chart elsewhere
  const Overlay& chart = named(all, "chart");
  ASSERT_EQ(chart.lines.size(), 2u);  // lines of help are left out
  EXPECT_EQ(chart.lines[0].label, "a: allowed");
  EXPECT_EQ(chart.lines[1].x, (std::vector<double>{-30, 0, 30, -30}));
  EXPECT_EQ(chart.lines[0].line, chart.lines[1].line);
  EXPECT_NE(chart.lines[0].run, chart.lines[1].run);
  EXPECT_EQ(named(all, "locus_I_imaginary").lines[1].y, (std::vector<double>{0, 30, 0}));
}

TEST(Overlay, PhasorsHaveEqualScalesAndOneUnitAFigure) {
  const auto all = overlays_of({run("a", 10), run("b", 30)});
  const Overlay& volts = named(all, "phasors_V");
  EXPECT_TRUE(volts.equal_scales);
  ASSERT_EQ(volts.lines.size(), 4u);
  EXPECT_EQ(volts.lines[1].x, (std::vector<double>{10, 11}));  // from the tip of U
  EXPECT_NE(volts.lines[0].line, volts.lines[1].line);
  EXPECT_EQ(named(all, "phasors_A").lines.size(), 2u);
}

TEST(Overlay, WhatOneRunAloneHasIsNone) {
  RunRecord other = run("b", 30);
  other.results.constructions.clear(), other.results.phasor_diagrams.clear(), other.results.curves.clear();
  EXPECT_TRUE(overlays_of({run("a", 10), other}).empty());
}

TEST(Overlay, FigureNamesRunsAndUnits) {
  const auto all = overlays_of({run("thin", 10), run("thick", 30)});
  const std::string svg = draw_overlay_figure(named(all, "chart")).render(PictureFormat::svg);
  EXPECT_NE(svg.find("<svg"), std::string::npos);
  EXPECT_GT(svg.size(), 2000u);
}

}  // namespace
}  // namespace polepitch
