#include "post/cage_data.h"

#include <cmath>

#include <gtest/gtest.h>

using namespace polepitch;

namespace {

WindingLayout stator() {
  Block block;
  for (const auto& [name, value] : {std::pair<const char*, int>{"phases", 3},
                                    {"layers", 2},
                                    {"turns_per_coil", 10},
                                    {"parallel_paths", 1},
                                    {"strands", 1}})
    block.values.set(name, {value, {}, true});
  return lay_out_winding(block, 36, 2);
}

Section section_of(int bars_in_sector) {
  Section section;
  section.pole_pairs = 2;
  section.sectors = 4;
  section.length = 0.15;
  section.winding = stator();
  for (int k = 0; k < bars_in_sector; ++k) {
    Region bar;
    bar.role = Role::bar;
    bar.side = Side::rotor;
    bar.material = "aluminium";
    bar.area = 60e-6;
    section.regions.push_back(bar);
  }
  return section;
}

}  // namespace

// formula: each bar's current is the difference of two ring currents, i_bar = 2 sin(πp/Q) i_ring, so that rings with
// two pieces a bar lose 2 R_seg i_ring² = R_seg i_bar²/(2 sin²(πp/Q)) (values.md).
TEST(CageData, ring_share_by_its_loss) {
  const double bar = 60e-6, segment = 2e-6;
  const int p = 2, bars = 28;
  const double ring_over_bar = 1 / (2 * std::sin(pi * p / bars));
  EXPECT_NEAR(bar_with_rings(bar, segment, p, bars), bar + 2 * segment * ring_over_bar * ring_over_bar, 1e-18);
  EXPECT_NEAR(bar_with_rings(bar, segment, p, bars), 60e-6 + 2e-6 / (2 * 0.0495156), 1e-9);  // sin²(π/14)
}

// formula: 4 m (N k_w1)²/Q_r (values.md) with N = 120 and k_w1 = 0.959795
TEST(CageData, referred_to_the_stator) {
  EXPECT_NEAR(referred_factor(stator(), 28), 4 * 3 * std::pow(120 * 0.959795, 2) / 28, 0.05);
}

// Hand calculation: bar 0.15 m/(30 MS/m · 60 mm²) = 83.333 µohm; ring piece π · 0.1 m/(28 · 30 MS/m · 200 mm²) =
// 1.86999 µohm; 28 bars of 60 mm² and 0.15 m, two rings of 200 mm² and 0.1 m, 2700 kg/m³.
TEST(CageData, of_a_section) {
  Materials materials;
  materials["aluminium"].conductivity = 30e6;
  materials["aluminium"].density = 2700;
  const CageData data = cage_data(section_of(7), {200e-6, 0.1}, materials, 293.15);
  EXPECT_EQ(data.bars, 28);
  EXPECT_NEAR(data.bar, 83.3333e-6, 1e-10);
  EXPECT_NEAR(data.ring_segment, 1.86999e-6, 1e-11);
  EXPECT_NEAR(data.bar_with_rings, 83.3333e-6 + 1.86999e-6 / (2 * 0.0495156), 1e-9);
  EXPECT_NEAR(data.referred, referred_factor(stator(), 28) * data.bar_with_rings, 1e-12);
  EXPECT_NEAR(data.bar_mass, 0.6804, 1e-6);
  EXPECT_NEAR(data.ring_mass, 2 * pi * 0.1 * 200e-6 * 2700, 1e-9);
}

TEST(CageData, faults_and_absence) {
  Materials materials;
  materials["aluminium"].density = 2700;
  EXPECT_THROW(cage_data(section_of(7), {}, materials, 293.15), InputError);  // no conductivity
  EXPECT_EQ(cage_data(section_of(0), {}, materials, 293.15).bars, 0);
  materials["aluminium"].conductivity = 30e6;
  const CageData bare = cage_data(section_of(7), {}, materials, 293.15);
  EXPECT_DOUBLE_EQ(bare.bar_with_rings, bare.bar);  // no ring stated, none invented
}
