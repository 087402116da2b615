// What the page is given of a moving field: A in 16 bits within half a step of the solution, and whether waves join
// across the gap.
#include "post/scene.h"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "post/dq.h"
#include "tests/post/field_machine_helper.h"

namespace polepitch {
namespace {

std::vector<unsigned char> from_base64(const std::string& text) {
  static const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::vector<unsigned char> bytes;
  unsigned bits = 0;
  int held = 0;
  for (char c : text) {
    if (c == '=') break;
    bits = bits << 6 | static_cast<unsigned>(digits.find(c));
    if ((held += 6) >= 8) bytes.push_back(static_cast<unsigned char>(bits >> (held -= 8) & 0xff));
  }
  return bytes;
}

TEST(Scene, PotentialsKeepHalfAStepOfSixteenBits) {
  const auto machine = testing::small_machine();
  const StaticSolution solution = machine->field->solve(dq_excitation(machine->section, {7, -3, 0}, 3, 0.2));
  Scene scene{"load-angle", "a title", "load_angle", "deg", {{-30, &solution, {3, 4}, {1, 0}, -2.5}}, {}, {}};
  const auto json = nlohmann::json::parse(scenes_json(*machine->field, {scene}));
  const auto& frame = json["scenes"][0]["frames"][0];
  EXPECT_EQ(frame["stator"][1], 4.0);
  EXPECT_TRUE(frame["joined"]);
  const double step = frame["scale"];
  EXPECT_DOUBLE_EQ(step, 2 * quantisation(solution));
  const auto bytes = from_base64(frame["a"]);
  ASSERT_EQ(bytes.size(), 2 * solution.a.size());
  for (size_t i = 0; i < solution.a.size(); ++i) {
    const auto stored = static_cast<std::int16_t>(bytes[2 * i] | bytes[2 * i + 1] << 8);
    EXPECT_NEAR(step * stored, solution.a[i], 0.5 * step * (1 + 1e-9)) << i;  // half a step: rounding
  }
}

/// Where one wave alone crosses the gap (a cage's slip), lines that would join the others across it are no field's.
TEST(Scene, OneWaveAloneIsNotJoined) {
  const auto machine = testing::small_machine();
  StaticSolution solution = machine->field->solve(dq_excitation(machine->section, {7, 0, 0}, 0, 0));
  solution.gap.harmonics.resize(1);
  Scene scene{"slip", "a title", "slip", "", {{1, &solution, {}, {}, 0}}, {}, {}};
  EXPECT_FALSE(nlohmann::json::parse(scenes_json(*machine->field, {scene}))["scenes"][0]["frames"][0]["joined"]);
}

}  // namespace
}  // namespace polepitch
