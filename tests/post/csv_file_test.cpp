#include "post/csv_file.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <sstream>

namespace polepitch {
namespace {

TEST(CsvFile, HeaderHasNamesAndUnits) {
  const ResultCurve curve{
      "torque-angle", "torque", "", {{"rotor_angle", "deg", {0, 1.5}}, {"torque", "N m", {12.5, -3}}}};
  EXPECT_EQ(csv_text(curve), "rotor_angle [deg],torque [N m]\n0,12.5\n1.5,-3\n");
  EXPECT_EQ(csv_file_name(curve), "torque-angle_torque.csv");
}

TEST(CsvFile, NumbersReadBackBitForBit) {
  ResultCurve curve{"s", "c", "", {{"order", "", {}}, {"a", "Wb/m", {}}}};
  for (double v : {1.0 / 3, 1e-300, 6.02214076e23, -0.1, std::nextafter(1.0, 2.0)}) {
    curve.columns[0].values.push_back(v);
    curve.columns[1].values.push_back(-v);
  }
  std::stringstream text(csv_text(curve));
  std::string line;
  std::getline(text, line);
  EXPECT_EQ(line, "order,a [Wb/m]");
  for (double v : curve.columns[0].values) {
    std::getline(text, line);
    const auto comma = line.find(',');
    EXPECT_EQ(std::stod(line.substr(0, comma)), v);
    EXPECT_EQ(std::stod(line.substr(comma + 1)), -v);
  }
}

TEST(CsvFile, MissingValuesAreEmptyNeverNan) {
  const double nan = std::numeric_limits<double>::quiet_NaN(), inf = std::numeric_limits<double>::infinity();
  const ResultCurve curve{"s", "c", "", {{"x", "", {1, 2}}, {"y", "T", {nan, inf}}}};
  EXPECT_EQ(csv_text(curve), "x,y [T]\n1,\n2,\n");
}

TEST(CsvFile, AwkwardNames) {
  const ResultCurve quoted{"s/1", "c", "", {{"a,b", "", {1}}}};
  EXPECT_EQ(csv_text(quoted), "\"a,b\"\n1\n");
  EXPECT_EQ(csv_file_name(quoted), "s_1_c.csv");
  const ResultCurve uneven{"s", "c", "", {{"x", "", {1, 2}}, {"y", "", {1}}}};
  EXPECT_THROW(csv_text(uneven), std::logic_error);
}

}  // namespace
}  // namespace polepitch
