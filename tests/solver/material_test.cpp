#include "solver/material.h"

#include <gtest/gtest.h>

using polepitch::Material;
using polepitch::mu0;

// Common practice: copper's resistance is proportional to 235 °C + t (IEC 60034-1 for winding temperatures, memory),
// which is a coefficient of 1/255 at 20 °C.
TEST(Material, conductivity_falls_with_temperature) {
  Material copper;
  copper.conductivity = 58e6;
  copper.temperature_coefficient = 1.0 / 255;
  EXPECT_DOUBLE_EQ(copper.conductivity_at(293.15), 58e6);
  EXPECT_NEAR(58e6 / copper.conductivity_at(273.15 + 75), (235.0 + 75) / (235 + 20), 1e-12);
}

TEST(Material, remanence_follows_its_coefficient) {
  Material magnet;
  magnet.remanence = 1.2;
  magnet.remanence_coefficient = -0.001;
  EXPECT_DOUBLE_EQ(magnet.remanence_at(293.15), 1.2);
  EXPECT_NEAR(magnet.remanence_at(393.15), 1.08, 1e-12);  // formula: 1.2 (1 − 0.001 · 100)
}

TEST(Material, curve_is_linear_without_a_table) {
  Material shaft;
  shaft.mu_r = 200;
  EXPECT_TRUE(shaft.curve().linear());
  EXPECT_DOUBLE_EQ(shaft.curve().h(1.0), 1 / (200 * mu0));
  // formula: B = k μr μ0 H + (1 − k) μ0 H
  EXPECT_DOUBLE_EQ(shaft.curve(0.9).h(1.0), 1 / ((0.9 * 200 + 0.1) * mu0));
}

TEST(Material, curve_takes_the_table_and_the_stacking_factor) {
  Material steel;
  steel.b = {0, 1.0, 1.5, 1.8};
  steel.h = {0, 100, 1000, 10000};
  EXPECT_FALSE(steel.curve().linear());
  EXPECT_NEAR(steel.curve().h(1.5), 1000, 1e-9);
  EXPECT_NEAR(steel.curve(0.9).h(0.9 * 1.5 + 0.1 * mu0 * 1000), 1000, 1e-9);
}
