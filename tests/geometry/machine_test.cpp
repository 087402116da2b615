#include "geometry/machine.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <set>

namespace polepitch {
namespace {

using std::numbers::pi;

Machine rated(double va, double volt, double hertz, const char* connection, int pole_pairs, int phases = 3) {
  Machine machine;
  machine.rating.values.set("power", {va, {}, true});
  machine.rating.values.set("line_voltage", {volt, {}, true});
  machine.rating.values.set("frequency", {hertz, {}, true});
  machine.rating.values.set("connection", {std::string(connection), {}, true});
  machine.general.values.set("pole_pairs", {pole_pairs, {}, true});
  machine.winding.values.set("phases", {phases, {}, true});
  return machine;
}

// Formula: star, 100 kVA, 400 V: I = S/(√3 U) = 144.338 A r.m.s.; Z = U²/S = 1.6 ohm; T = S p/(2πf).
TEST(PerUnitBase, Star) {
  const PerUnitBase base = per_unit_base(rated(100e3, 400, 50, "star", 4));
  EXPECT_TRUE(base.star);
  EXPECT_NEAR(base.voltage, 400 * std::sqrt(2.0 / 3), 1e-10);
  EXPECT_NEAR(base.current, std::sqrt(2.0) * 144.33756729740643, 1e-9);
  EXPECT_NEAR(base.impedance, 1.6, 1e-12);
  EXPECT_NEAR(base.omega, 100 * pi, 1e-10);
  EXPECT_NEAR(base.torque, 100e3 * 4 / (100 * pi), 1e-9);
  EXPECT_NEAR(1.5 * base.voltage * base.current, base.power, 1e-6);
}

// Formula: the phases of a delta see the line voltage and 1/√3 of the line current: Z = 3 U²/S.
TEST(PerUnitBase, Delta) {
  const PerUnitBase base = per_unit_base(rated(100e3, 400, 50, "delta", 4));
  EXPECT_FALSE(base.star);
  EXPECT_NEAR(base.voltage, 400 * std::sqrt(2.0), 1e-10);
  EXPECT_NEAR(base.current, std::sqrt(2.0) * 144.33756729740643 / std::sqrt(3.0), 1e-9);
  EXPECT_NEAR(base.impedance, 4.8, 1e-12);
}

// Formula: five phases, neighbours 72° apart: U_line = 2 U sin 36°.
TEST(PerUnitBase, FivePhases) {
  const PerUnitBase base = per_unit_base(rated(50e3, 400, 50, "star", 2, 5));
  EXPECT_NEAR(base.voltage, 400 * std::sqrt(2.0) / (2 * std::sin(pi / 5)), 1e-10);
  EXPECT_NEAR(2.5 * base.voltage * base.current, 50e3, 1e-6);
}

TEST(MachineTables, EveryParameterIsWholeAndNamedOnce) {
  for (const auto* table :
       {&rating_parameters(), &general_parameters(), &winding_parameters(), &mesh_parameters(), &limit_parameters()}) {
    std::set<std::string> names;
    for (const Parameter& p : *table) {
      EXPECT_TRUE(names.insert(p.name).second) << p.name;
      ASSERT_FALSE(p.sentence.empty()) << p.name;
      EXPECT_EQ(p.sentence.back(), '.') << p.name;
      EXPECT_LE(p.lower, p.upper) << p.name;
    }
  }
}

}  // namespace
}  // namespace polepitch
