// Charts in characters: where points stand, by construction.
#include "post/text_chart.h"

#include <gtest/gtest.h>

#include <limits>
#include <sstream>

namespace polepitch {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

TEST(TextChart, LinesStandWhereTheirValuesAre) {
  const double none = std::numeric_limits<double>::quiet_NaN();
  const ResultCurve curve{
      "s", "c", "t", {{"slip", "", {0, 1}}, {"thin", "A", {0, 10}}, {"thick", "A", {10, none}}}, false};
  const auto lines = lines_of(text_chart(curve, 20, 5));
  ASSERT_EQ(lines.size(), 8u);
  const size_t left = lines[0].find('|') + 1;
  EXPECT_EQ(lines[0].substr(left, 1), "b");       // 10 at the left end
  EXPECT_EQ(lines[0].substr(left + 19, 1), "a");  // 10 at the right end
  EXPECT_EQ(lines[4].substr(left, 1), "a");       // 0 at the left end
  EXPECT_NE(lines[0].find("10 |"), std::string::npos);
  EXPECT_NE(lines[4].find("0 |"), std::string::npos);
  EXPECT_NE(lines[6].find("slip"), std::string::npos);
  EXPECT_NE(lines[7].find("a = thin,  b = thick"), std::string::npos);
}

TEST(TextChart, NothingToDrawIsNoChart) {
  EXPECT_EQ(text_chart({"s", "c", "t", {{"x", "", {0}}, {"y", "", {1}}}, false}), "");
  EXPECT_EQ(text_chart({"s", "c", "t", {{"x", "", {0, 1}}}, false}), "");
}

}  // namespace
}  // namespace polepitch
