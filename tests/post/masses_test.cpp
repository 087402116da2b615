#include "post/masses.h"

#include <gtest/gtest.h>

using namespace polepitch;

namespace {

Region region(Side side, Role role, const char* material, double area) {
  Region r;
  r.side = side;
  r.role = role;
  r.material = material;
  r.area = area;
  return r;
}

Section section() {
  Section s;
  s.sectors = 8;
  s.length = 0.2;
  s.stacking_factor = 0.97;
  s.regions = {region(Side::stator, Role::core, "steel", 0.01), region(Side::rotor, Role::core, "steel", 0.02),
               region(Side::stator, Role::winding, "copper", 2e-4), region(Side::rotor, Role::magnet, "magnet", 1e-3),
               region(Side::rotor, Role::magnet, "magnet", 1e-3)};
  return s;
}

Materials materials() {
  Materials all;
  all["steel"].density = 7700;
  all["copper"].density = 8890;
  all["magnet"].density = 7500;
  all["unknown"].density = 0;
  return all;
}

}  // namespace

// formula: density · stacking factor · area · length · sectors
TEST(Masses, laminations_count_with_the_stacking_factor) {
  EXPECT_NEAR(mass_of(section(), materials(), Side::stator, Role::core), 7700 * 0.97 * 0.01 * 0.2 * 8, 1e-9);
  EXPECT_NEAR(mass_of(section(), materials(), Side::rotor, Role::core), 7700 * 0.97 * 0.02 * 0.2 * 8, 1e-9);
}

TEST(Masses, other_parts_count_whole_and_add_up) {
  EXPECT_NEAR(mass_of(section(), materials(), Side::stator, Role::winding), 8890 * 2e-4 * 0.2 * 8, 1e-9);
  EXPECT_NEAR(mass_of(section(), materials(), Side::rotor, Role::magnet), 7500 * 2e-3 * 0.2 * 8, 1e-9);
  EXPECT_EQ(mass_of(section(), materials(), Side::stator, Role::magnet), 0);
}

TEST(Masses, an_unknown_density_leaves_the_mass_out) {
  Section s = section();
  s.regions[4].material = "unknown";
  EXPECT_EQ(mass_of(s, materials(), Side::rotor, Role::magnet), 0);
}
