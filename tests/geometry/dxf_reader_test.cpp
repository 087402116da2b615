// Drawings by another writer (drawings/make_drawings.py) and by hand; the areas are formulas of plane geometry.
#include "geometry/dxf_reader.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi, mm = 1e-3, mm2 = 1e-6;

// Sum of the areas that the curves of one layer enclose.
double area_on(const DxfDrawing& drawing, const std::string& layer) {
  Sketch sketch;
  sketch.parts = drawing.sketch.parts;
  for (const SketchCurve& c : drawing.sketch.curves)
    if (drawing.entities[static_cast<std::size_t>(c.part)].layer == layer) sketch.curves.push_back(c);
  double area = 0;
  for (const Loop& loop : trace_loops(connect(sketch, 1e-9))) area += std::max(loop.area, 0.0);
  return area;
}

std::string file_of(const std::string& entities, const std::string& header = "9\n$INSUNITS\n70\n4\n") {
  return "0\nSECTION\n2\nHEADER\n" + header + "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" + entities + "0\nENDSEC\n0\nEOF\n";
}

std::vector<Diagnostic> faults_of(const std::string& text) {
  try {
    parse_dxf(text, "part.dxf");
  } catch (const InputError& error) {
    return error.diagnostics();
  }
  return {};
}

class DxfVersions : public testing::TestWithParam<const char*> {};

TEST_P(DxfVersions, AreasOfTheTestPiece) {
  const std::string version = GetParam();
  const bool old = version == "R12";
  const double tolerance = 1e-8;
  const DxfDrawing drawing =
      read_dxf(std::string(TESTS_DIR) + "/geometry/drawings/piece_" + version + ".dxf", {old ? mm : 0, tolerance});
  EXPECT_DOUBLE_EQ(drawing.unit, mm);
  EXPECT_NEAR(area_on(drawing, "CORE"), (800 + 100 * pi) * mm2, 1e-15);
  EXPECT_NEAR(area_on(drawing, "SLOT"), (2 + 4.5) * pi * mm2, 1e-15);  // half discs of radius 2 and 3
  const double circle = 1.25 * 1.25 * pi * mm2, ellipse = 18 * pi * mm2, spline = 2.25 * pi * mm2;
  // An outline that keeps within the tolerance misses at most perimeter times tolerance; the ellipse's is under 30 mm.
  EXPECT_NEAR(area_on(drawing, "HOLE"), circle + (old ? 0 : ellipse + spline), 45 * mm * tolerance);
  ASSERT_EQ(drawing.marks.size(), 1u);
  EXPECT_EQ(drawing.marks[0].words, "core");
  EXPECT_NEAR(drawing.marks[0].at.x, -25 * mm, 1e-15);
  ASSERT_EQ(drawing.warnings.size(), old ? 0u : 1u);  // the hatch
  for (const Diagnostic& warning : drawing.warnings) EXPECT_NE(warning.message.find("HATCH"), std::string::npos);
}

INSTANTIATE_TEST_SUITE_P(All, DxfVersions, testing::Values("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"),
                         [](const auto& version) { return std::string(version.param); });

TEST(DxfReader, ArcsStayArcsAndKnowTheirLine) {
  const DxfDrawing d = parse_dxf(file_of("0\nARC\n8\nBORE\n10\n1\n20\n2\n40\n5\n50\n350\n51\n20\n"), "part.dxf");
  ASSERT_EQ(d.sketch.curves.size(), 1u);
  const SketchCurve& arc = d.sketch.curves[0];
  EXPECT_TRUE(arc.arc);
  EXPECT_NEAR(sweep(arc), 30 * pi / 180, 1e-12);
  EXPECT_NEAR(arc.start.x, (1 + 5 * std::cos(10 * pi / 180)) * mm, 1e-15);
  EXPECT_NEAR(arc.start.y, (2 - 5 * std::sin(10 * pi / 180)) * mm, 1e-15);
  EXPECT_EQ(d.entities[0].layer, "BORE");
  EXPECT_EQ(d.entities[0].line, 16);  // 14 lines to the section's name, then 0 and ARC
}

TEST(DxfReader, UnitOfTheDrawingAndOfTheCase) {
  const std::string line = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n2\n21\n0\n";
  EXPECT_DOUBLE_EQ(parse_dxf(file_of(line, "9\n$INSUNITS\n70\n1\n"), "").sketch.curves[0].end.x, 0.0508);
  EXPECT_DOUBLE_EQ(parse_dxf(file_of(line, ""), "", {0.01}).sketch.curves[0].end.x, 0.02);
  const DxfDrawing both = parse_dxf(file_of(line), "", {1});
  EXPECT_DOUBLE_EQ(both.sketch.curves[0].end.x, 2);
  EXPECT_EQ(both.warnings.size(), 1u);
  const auto faults = faults_of(file_of(line, ""));
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_NE(faults[0].message.find("unit"), std::string::npos);
}

TEST(DxfReader, EveryFaultWithItsLine) {
  const auto faults =
      faults_of(file_of("0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n-3\n"
                        "0\nLINE\n8\n0\n10\nabc\n20\n0\n11\n1\n21\n0\n"
                        "0\nINSERT\n8\n0\n2\nMISSING\n10\n0\n20\n0\n"));
  ASSERT_EQ(faults.size(), 3u);
  EXPECT_EQ(faults[0].place.line, 16);
  EXPECT_NE(faults[0].message.find("radius of -3"), std::string::npos);
  EXPECT_EQ(faults[1].place.line, 30);
  EXPECT_NE(faults[1].message.find("'abc' is not a number"), std::string::npos);
  EXPECT_NE(faults[2].message.find("'MISSING'"), std::string::npos);
}

TEST(DxfReader, FilesThatAreNoDrawing) {
  const auto told = [](const std::string& text, const std::string& words) {
    const auto faults = faults_of(text);
    return !faults.empty() && (faults[0].message + faults[0].hint).find(words) != std::string::npos;
  };
  EXPECT_TRUE(told("", "empty"));
  EXPECT_TRUE(told("hello\nworld\n", "does not seem to be a DXF file"));
  EXPECT_TRUE(told(std::string("ab\0cd", 5), "binary"));
  const std::string whole = file_of("0\nPOINT\n8\n0\n10\n0\n20\n0\n");
  EXPECT_TRUE(told(whole.substr(0, whole.size() - 6), "cut off"));
  EXPECT_TRUE(told("0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n", "no section ENTITIES"));
}

TEST(DxfReader, BlocksInThemselvesEnd) {
  const auto faults = faults_of(
      "0\nSECTION\n2\nHEADER\n9\n$"
      "INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nA\n10\n0\n20\n0\n0\nINSERT\n2\nA\n0\nENDBLK\n"
      "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nA\n0\nENDSEC\n0\nEOF\n");
  ASSERT_FALSE(faults.empty());
  EXPECT_NE(faults.back().message.find("deep"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
