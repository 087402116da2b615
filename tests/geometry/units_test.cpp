#include "geometry/units.h"

#include <gtest/gtest.h>

#include <numbers>
#include <thread>
#include <vector>

#include "geometry/error.h"

namespace polepitch {
namespace {

constexpr double pi = std::numbers::pi;

std::string refusal(Kind kind, const char* unit) {
  try {
    to_si(kind, 1, unit);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

// Formula: 1500 rpm = 1500/60 rev/s = 25 rev/s = 25 · 2π rad/s.
TEST(Units, RevolutionsPerMinute) {
  EXPECT_DOUBLE_EQ(to_si(Kind::speed, 1500, "rpm"), to_si(Kind::speed, 25, "rev/s"));
  EXPECT_NEAR(to_si(Kind::speed, 1500, "rpm"), 50 * pi, 1e-12 * 50 * pi);
  EXPECT_NEAR(to_si(Kind::speed, 1500, "r/min"), 50 * pi, 1e-12 * 50 * pi);
  EXPECT_NEAR(from_si(Kind::speed, to_si(Kind::speed, 1500, "rpm"), "rev/s"), 25, 1e-12);
}

// The definitions of the units (SI brochure; inch of 25.4 mm).
TEST(Units, Factors) {
  EXPECT_NEAR(to_si(Kind::length, 165, "mm"), 0.165, 1e-16);
  EXPECT_NEAR(to_si(Kind::length, 1, "in"), 0.0254, 1e-16);
  EXPECT_NEAR(to_si(Kind::length, 3, "µm"), 3e-6, 1e-20);
  EXPECT_NEAR(to_si(Kind::area, 2, "mm²"), 2e-6, 1e-20);
  EXPECT_NEAR(to_si(Kind::current_density, 5, "A/mm^2"), 5e6, 1e-8);
  EXPECT_NEAR(to_si(Kind::current_sheet, 10, "kA/m"), 1e4, 1e-10);
  EXPECT_NEAR(to_si(Kind::angle, 180, "deg"), pi, 1e-14);
  EXPECT_NEAR(to_si(Kind::frequency, 50, "Hz"), 50, 1e-13);
  EXPECT_NEAR(to_si(Kind::frequency, 3000, "1/min"), 50, 1e-12);
  EXPECT_NEAR(to_si(Kind::torque, 2, "kNm"), 2000, 1e-10);
  EXPECT_NEAR(to_si(Kind::torque, 2, "N m"), 2, 1e-14);
  EXPECT_NEAR(to_si(Kind::apparent_power, 3, "kvar"), 3000, 1e-10);
  EXPECT_NEAR(to_si(Kind::apparent_power, 3, "MVA"), 3e6, 1e-7);
  EXPECT_NEAR(to_si(Kind::power, 3, "kW"), 3000, 1e-10);
  EXPECT_NEAR(to_si(Kind::resistance, 4, "mohm"), 4e-3, 1e-17);
  EXPECT_NEAR(to_si(Kind::inductance, 4, "uH"), 4e-6, 1e-20);
  EXPECT_NEAR(to_si(Kind::conductivity, 57, "MS/m"), 57e6, 1e-7);
  EXPECT_NEAR(to_si(Kind::density, 7.65, "kg/dm^3"), 7650, 1e-10);
  EXPECT_NEAR(to_si(Kind::temperature_coefficient, 0.39, "%/K"), 0.0039, 1e-17);
}

// 0 °C is 273.15 K by definition.
TEST(Units, TemperatureAndItsDifference) {
  EXPECT_NEAR(to_si(Kind::temperature, 75, "degC"), 348.15, 1e-12);
  EXPECT_NEAR(to_si(Kind::temperature, 75, "°C"), 348.15, 1e-12);
  EXPECT_NEAR(to_si(Kind::temperature, 300, "K"), 300, 1e-12);
  EXPECT_NEAR(from_si(Kind::temperature, 348.15, "degC"), 75, 1e-12);
  EXPECT_NEAR(to_si(Kind::temperature_rise, 80, "K"), 80, 1e-14);
  EXPECT_NE(refusal(Kind::temperature_rise, "degC"), "");
}

// UDUNITS counts the radian as 1 and would convert all of these.
TEST(Units, TheKindRefusesWhatUdunitsWouldConvert) {
  EXPECT_EQ(refusal(Kind::frequency, "rad/s"), "the unit \"rad/s\" measures a speed of rotation, not a frequency");
  EXPECT_EQ(refusal(Kind::frequency, "rpm"), "the unit \"rpm\" measures a speed of rotation, not a frequency");
  EXPECT_EQ(refusal(Kind::speed, "Hz"), "the unit \"Hz\" measures a frequency, not a speed of rotation");
  EXPECT_EQ(refusal(Kind::speed, "1/min"), "the unit \"1/min\" measures a frequency, not a speed of rotation");
  EXPECT_EQ(refusal(Kind::power, "kVA"), "the unit \"kVA\" measures an apparent power, not a power");
  EXPECT_EQ(refusal(Kind::apparent_power, "kW"), "the unit \"kW\" measures a power, not an apparent power");
  EXPECT_EQ(refusal(Kind::length, "A"), "the unit \"A\" measures a current, not a length");
  EXPECT_NE(refusal(Kind::angle, "%"), "");
}

TEST(Units, WhatIsNoUnit) {
  EXPECT_EQ(refusal(Kind::length, "furlongz"), "the unit \"furlongz\" is unknown");
  for (const char* unit : {"5 mm", "mm 5", "lg(re mm)", "mm since 2000-01-01", "mm @ 5", "", "mm/", "µ"})
    EXPECT_NE(refusal(Kind::length, unit), "") << unit;
  EXPECT_EQ(refusal(Kind::number, "mm"), "a pure number takes no unit");
}

// True by construction for each kind alone; it proves that the table of kinds is whole.
TEST(Units, EveryKindTakesItsOwnUnits) {
  for (int i = static_cast<int>(Kind::length); i <= static_cast<int>(Kind::temperature_coefficient); ++i) {
    const Kind kind = static_cast<Kind>(i);
    const std::string list(example_units(kind));
    EXPECT_FALSE(describe(kind).empty());
    EXPECT_NEAR(to_si(kind, 1, si_unit(kind)), 1, 1e-14);
    for (std::size_t begin = 0; begin < list.size();) {
      const std::size_t end = std::min(list.find(", ", begin), list.size());
      const std::string unit = list.substr(begin, end - begin);
      EXPECT_NEAR(from_si(kind, to_si(kind, 7, unit), unit), 7, 1e-10) << unit;
      begin = end + 2;
    }
  }
}

TEST(Units, SplitQuantity) {
  double number = 0;
  std::string unit;
  EXPECT_TRUE(split_quantity(" 165  mm ", number, unit));
  EXPECT_EQ(number, 165);
  EXPECT_EQ(unit, "mm");
  EXPECT_TRUE(split_quantity("-1.5e-3A/mm^2", number, unit));
  EXPECT_EQ(number, -1.5e-3);
  EXPECT_EQ(unit, "A/mm^2");
  EXPECT_TRUE(split_quantity("+2 K", number, unit));
  for (const char* text : {"", "mm", "5", "inf mm", "nan mm", "1e999 mm", "--5 mm", "+-5 mm"})
    EXPECT_FALSE(split_quantity(text, number, unit)) << text;
}

TEST(Units, FormatQuantity) {
  EXPECT_EQ(format_quantity(Kind::length, 0.0079, "mm"), "7.9 mm");
  EXPECT_EQ(format_quantity(Kind::temperature, 348.15, "degC"), "75 degC");
  EXPECT_EQ(format_quantity(Kind::number, 0.97, ""), "0.97");
}

// UDUNITS' parser is not thread-safe by itself.
TEST(Units, FromManyThreads) {
  std::vector<std::thread> threads;
  std::vector<int> wrong(4, 0);
  for (int t = 0; t < 4; ++t)
    threads.emplace_back([&wrong, t] {
      for (int i = 0; i < 500; ++i)
        if (std::abs(to_si(Kind::length, i, "mm") - 1e-3 * i) > 1e-12) ++wrong[static_cast<std::size_t>(t)];
    });
  for (std::thread& thread : threads) thread.join();
  for (const int count : wrong) EXPECT_EQ(count, 0);
}

}  // namespace
}  // namespace polepitch
