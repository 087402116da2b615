// The report page as text: whole, closed to the network, and safe against what a case may hold. Expected values are by
// construction of the input.
#include "post/report_page.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <regex>

#include "post/report_charts.h"

namespace polepitch {
namespace {

ResultCurve curve(std::vector<double> x) {
  ResultCurve c{"load-angle", "curve", "Torque against load angle", {}, false};
  std::vector<double> y;
  for (double v : x) y.push_back(2 * v);
  c.columns = {{"load_angle", "deg", x}, {"torque", "N m", y}, {"power", "W", y}, {"hidden", "N m", y, false}};
  c.columns[1].error = 0.125;
  return c;
}

Results results() {
  Results r;
  Quantity q;
  q.study = "load-angle", q.name = "torque_mean", q.value = 12.3456, q.unit = "N m", q.error = 0.09;
  q.definition = "Torque & more <b>", q.at = {{"voltage", "400 V"}}, q.key_result = true, q.positions = 6;
  r.quantities.push_back(q);
  r.curves.push_back(curve({-1, 0, 1}));
  r.flux_tables.push_back({"load-angle", {{"stator tooth", 1.9, 1.7, 1.8, 1.6, "stator tooth 3", 0.1, 0.01}}});
  r.warnings = {"past the table </script>"};
  return r;
}

ReportPage page() {
  ReportPage p;
  p.title = "A <machine>";
  p.case_name = "machine", p.case_text = "title = \"<script>alert(1)</script>\"";
  p.program_version = "0.1.0", p.command = "polepitch run machine.toml";
  p.studies = {{"load-angle",
                "What it does.",
                {"What was asked", {}, {{"load_step", "1.05", "default"}}},
                {{"Picture", "<svg></svg>"}}}};
  p.failed = {"slip: the field did not converge"};
  p.cautions = {"The rotor lies outside."};
  p.machine_tables = {{"Rating", {"", ""}, {{"power", "20 kVA"}}}};
  return p;
}

size_t count(const std::string& text, const std::string& what) {
  size_t n = 0;
  for (size_t i = text.find(what); i != std::string::npos; i = text.find(what, i + 1)) ++n;
  return n;
}

TEST(ReportPage, HoldsWhatARunFound) {
  const std::string html = report_page(page(), results());
  for (const char* part : {"A &lt;machine&gt;", "12.346", "± 0.09", "voltage = 400 V", "mean of 6 positions",
                           "over the limit", "load_step", "<b>No result:</b> slip", "data-chart=\"load-angle_curve\"",
                           "20 kVA", "qualified engineer", "<li>The rotor lies outside.</li>"})
    EXPECT_NE(html.find(part), std::string::npos) << part;
}

TEST(ReportPage, TextOfACaseCannotBecomeMarkup) {
  const std::string html = report_page(page(), results());
  EXPECT_EQ(html.find("<script>alert"), std::string::npos);
  EXPECT_EQ(html.find("more <b>"), std::string::npos);
  EXPECT_EQ(count(html, "<script"), count(html, "</script>"));
}

/// No address that a browser would fetch: neither src, href nor url() leaves the page.
TEST(ReportPage, AsksNothingOfTheNetwork) {
  const std::string html = report_page(page(), results());
  static const std::regex outside(R"re((src|href)\s*=\s*"(https?:)?//|url\(\s*['"]?(https?:)?//|@import)re");
  EXPECT_FALSE(std::regex_search(html, outside));
}

TEST(ReportPage, ChartsGroupByUnitAndLeaveClosedCurvesToPictures) {
  EXPECT_TRUE(is_chart(curve({-1, 0, 1})));
  EXPECT_FALSE(is_chart(curve({0, 1, 0.5})));  // a locus would be sorted
  EXPECT_FALSE(is_chart(curve({0})));
  const auto chart = nlohmann::json::parse(chart_json(curve({-1, 0, 1})));
  ASSERT_EQ(chart["panels"].size(), 2u);
  EXPECT_EQ(chart["panels"][0]["lines"].size(), 1u);  // the hidden column of the same unit stays out
  EXPECT_EQ(chart["panels"][0]["lines"][0]["error"], 0.12);
  EXPECT_EQ(chart["panels"][1]["unit"], "W");
  EXPECT_NE(chart["words"].get<std::string>().find("largest 2 at 1 deg"), std::string::npos);
}

/// Two pictures of one page must not share ids: the second would be drawn with the letters of the first.
TEST(ReportPage, IdsOfPicturesAreTheirOwn) {
  const std::string file =
      "<?xml version=\"1.0\"?>\n<svg width=\"1\"><g id=\"glyph-0\"/><use xlink:href=\"#glyph-0\"/>"
      "<path clip-path=\"url(#clip-1)\"/></svg>\n";
  const std::string svg = inline_svg(file, "mesh", "A \"mesh\"");
  for (const char* part : {"<svg role=\"img\" aria-labelledby=\"mesh-title\" width", "id=\"mesh-glyph-0\"",
                           "href=\"#mesh-glyph-0\"", "url(#mesh-clip-1)", "<title id=\"mesh-title\">A &quot;mesh"})
    EXPECT_NE(svg.find(part), std::string::npos) << part << "\n" << svg;
  EXPECT_EQ(inline_svg("no picture", "a", "b"), "");
}

/// RFC 4648, section 10 (published): test vectors of base 64.
TEST(ReportPage, BytesBecomeBase64) {
  EXPECT_NE(inline_png("foobar", "x").find("base64,Zm9vYmFy\""), std::string::npos);
  EXPECT_NE(inline_png("fooba", "x").find("base64,Zm9vYmE=\""), std::string::npos);
  EXPECT_NE(inline_png("foob", "x").find("base64,Zm9vYg==\""), std::string::npos);
}

}  // namespace
}  // namespace polepitch
