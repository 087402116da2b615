#include "post/summary_file.h"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace polepitch {
namespace {

Results results() {
  Results r;
  r.quantities.push_back({.study = "torque-angle",
                          .name = "torque_mean",
                          .at = {{"i_d", "-3 A"}},
                          .positions = 12,
                          .ripple = 1.5,
                          .method = "annulus harmonics",
                          .value = 96.1,
                          .unit = "N m",
                          .error = 0.2,
                          .definition = "Mean torque on the rotor."});
  Quantity resistance;
  resistance.name = "phase_resistance", resistance.method = "closed form", resistance.definition = "At 75 °C.";
  resistance.value = 0.25, resistance.unit = "ohm", resistance.ripple = 7.0;
  r.quantities.push_back(resistance);
  r.flux_tables.push_back({"operating-point",
                           {{"stator tooth", 1.8, 1.6, 1.75, 1.7, "stator tooth 3", 0.5, 0.01},
                            {"stator yoke", 1.3, 0, 1.25, std::nullopt, "", 0, std::nullopt}}});
  r.warnings = {"caution"};
  return r;
}

// The keys are the contract with other programs.
TEST(SummaryFile, HasExactlyTheAgreedKeys) {
  const auto json = nlohmann::ordered_json::parse(summary_text("demo", "0.1.0", results()));
  EXPECT_EQ(json["case"], "demo");
  EXPECT_EQ(json["program_version"], "0.1.0");
  ASSERT_EQ(json["quantities"].size(), 2u);
  const auto& torque = json["quantities"][0];
  const std::vector<std::string> expected{"study",  "name",  "at",   "positions", "ripple",
                                          "method", "value", "unit", "error",     "definition"};
  std::vector<std::string> keys;
  for (const auto& [key, value] : torque.items()) keys.push_back(key);
  EXPECT_EQ(keys, expected);
  EXPECT_EQ(json["key_results"], nlohmann::ordered_json::array());  // none is one
  EXPECT_EQ(torque["at"]["i_d"], "-3 A");
  EXPECT_EQ(torque["ripple"], 1.5);
  EXPECT_EQ(torque["value"], 96.1);
}

TEST(SummaryFile, NullWhereThereIsNone) {
  const auto json = nlohmann::json::parse(summary_text("demo", "0.1.0", results()));
  const auto& resistance = json["quantities"][1];
  EXPECT_TRUE(resistance["ripple"].is_null());  // one position has no ripple, whatever was left in it
  EXPECT_TRUE(resistance["error"].is_null());
  EXPECT_TRUE(resistance["at"].is_object());
  const auto& rows = json["flux_density"][0]["rows"];
  EXPECT_EQ(rows[0]["exceeds"], true);
  EXPECT_TRUE(rows[1]["exceeds"].is_null());
  EXPECT_TRUE(rows[1]["at_third"].is_null());
  EXPECT_EQ(json["warnings"][0], "caution");
}

TEST(SummaryFile, ConstructionsKeepTheirNamedPointsAndLines) {
  Results r = results();
  Construction c{"characteristics", "demo", "A demo", "IEEE Std 115", "field_current", "A", "voltage", "V"};
  c.lines = {{"no-load curve", {0, 1}, {0, 2}}, {"", {1, 1}, {0, 2}, ConstructionLine::Kind::help}};
  c.points = {{"A", 1, 2, "its end"}};
  r.constructions.push_back(c);
  const auto json = nlohmann::json::parse(summary_text("demo", "0.1.0", r))["constructions"][0];
  EXPECT_EQ(json["source"], "IEEE Std 115");
  EXPECT_EQ(json["x"]["unit"], "A");
  EXPECT_EQ(json["points"][0]["name"], "A");
  EXPECT_EQ(json["points"][0]["y"], 2);
  EXPECT_EQ(json["lines"][0]["kind"], "curve");
  EXPECT_EQ(json["lines"][1]["x"], (std::vector<double>{1, 1}));
  r.constructions[0].points[0].x = std::numeric_limits<double>::infinity();
  EXPECT_THROW(summary_text("demo", "0.1.0", r), std::logic_error);
}

TEST(SummaryFile, ANumberThatIsNoneIsAFault) {
  Results r = results();
  r.quantities[0].value = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(summary_text("demo", "0.1.0", r), std::logic_error);
}

}  // namespace
}  // namespace polepitch
