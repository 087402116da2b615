#include "geometry/parameter.h"

#include <gtest/gtest.h>

#include <stdexcept>

namespace polepitch {
namespace {

TEST(Values, HandBackWhatWasSet) {
  Values values;
  values.set("width", {0.005, {"m.toml", 3, 9}, true});
  values.set("poles", {8, {}, false});
  values.set("layers", {std::vector<std::string>{"air", "copper"}, {}, true});
  EXPECT_EQ(values.number("width"), 0.005);
  EXPECT_EQ(values.place("width").line, 3);
  EXPECT_TRUE(values.given("width"));
  EXPECT_EQ(values.integer("poles"), 8);
  EXPECT_FALSE(values.given("poles"));
  EXPECT_EQ(values.texts("layers").at(1), "copper");
  EXPECT_FALSE(values.has("height"));
  EXPECT_FALSE(values.given("height"));
  EXPECT_EQ(values.place("height").line, 0);
}

TEST(Values, AskingForWhatIsNotThereIsAFaultOfTheProgram) {
  Values values;
  values.set("poles", {8, {}, true});
  EXPECT_THROW(values.number("width"), std::logic_error);
  EXPECT_THROW(values.number("poles"), std::logic_error);
}

TEST(NearestName, FindsSlipsOfTheKeyboard) {
  const std::vector<std::string> names = {"opening_width", "opening_height", "body_height", "bore_diameter"};
  EXPECT_EQ(nearest_name("openning_width", names), "opening_width");
  EXPECT_EQ(nearest_name("openingHeight", names), "opening_height");
  EXPECT_EQ(nearest_name("bore-diameter", names), "bore_diameter");
  EXPECT_EQ(nearest_name("bdoy_height", names), "body_height");
}

TEST(NearestName, IsSilentWhenNothingIsNear) {
  EXPECT_EQ(nearest_name("temperature", {"slots", "poles"}), "");
  EXPECT_EQ(nearest_name("x", {}), "");
}

}  // namespace
}  // namespace polepitch
