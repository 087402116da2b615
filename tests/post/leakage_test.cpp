#include "post/leakage.h"

#include <gtest/gtest.h>

#include <cmath>

#include "field_machine_helper.h"

namespace polepitch {
namespace {

using testing::small_machine;

// Identity: the four parts sum to the section's linkage to 1e-10.
TEST(Leakage, PartsSumToTheLinkage) {
  auto machine = small_machine();
  StaticField& field = *machine->field;
  const StaticSolution solution = field.solve(dq_excitation(machine->section, {-20, 40, 0}, 3, 0.11));
  const std::vector<double> linkages = field.linkages(solution);
  const std::vector<LinkageParts> parts = split_linkages(field, solution);
  ASSERT_EQ(parts.size(), 3u);
  for (int k = 0; k < 3; ++k) {
    EXPECT_NEAR(parts[k].total(), linkages[k], 1e-10 * std::abs(linkages[k])) << k;
    EXPECT_NE(parts[k].slot, 0);
    EXPECT_NE(parts[k].tooth_tip, 0);
    EXPECT_NE(parts[k].differential, 0);
  }
}

TEST(Leakage, DqPartsSumToTheDqLinkage) {
  auto machine = small_machine();
  StaticField& field = *machine->field;
  const StaticSolution solution = field.solve(dq_excitation(machine->section, {-20, 40, 0}, 3, 0.11));
  const Dq linkage = phases_to_dq(machine->section, field.linkages(solution), solution.rotor_angle);
  const DqLinkageParts parts = split_linkages_dq(field, solution);
  EXPECT_NEAR(parts.d.total(), linkage.d, 1e-10 * std::abs(linkage.d));
  EXPECT_NEAR(parts.q.total(), linkage.q, 1e-10 * std::abs(linkage.q));
}

/// Slot part of the d-axis inductance over 4 N² μ0 L: four coil sides of phase A in series in the whole machine.
double slot_permeance(double opening_height) {
  auto machine = small_machine(
      {.slot_half_width = 1.5, .opening_height = opening_height, .salient = false, .nonlinear = false, .density = 1});
  const StaticSolution solution = machine->field->solve(dq_excitation(machine->section, {10, 0, 0}, 0, 0));
  const double n = testing::small_machine_turns;
  return split_linkages_dq(*machine->field, solution).d.slot / 10 / (4 * n * n * mu0 * machine->section.length);
}

/// The same with the field straight across a slot whose width is `width` times the radius: ∫ dr/b over the opening, and
/// ∫ (share of the current under r)² dr/b over the conductor.
double straight_permeance(double opening_height, double width) {
  const double low = 50e-3 + opening_height, high = low + 10e-3;
  double conductor = 0;
  const int steps = 2000;
  for (int i = 0; i < steps; ++i) {
    const double r = low + (high - low) * (i + 0.5) / steps;
    const double share = (high * high - r * r) / (high * high - low * low);
    conductor += share * share * (high - low) / steps / (r * width);
  }
  return std::log(low / 50e-3) / width + conductor;
}

// Formula: slot permeance h/b and h/(3b), integrated for radial sides. At the mouth the field
// bends into the gap, whatever the depth: between two depths that cancels, and what remains is the formula's to 2e-3.
TEST(Leakage, SlotPartGrowsWithDepthAsItsPermeance) {
  const double width = 3 * pi / 180;
  const double expected = straight_permeance(7e-3, width) - straight_permeance(4e-3, width);
  EXPECT_NEAR((slot_permeance(7e-3) - slot_permeance(4e-3)) / expected, 1, 2e-3);
}

// Formula: Σ (k_wν/(ν k_w1))², differential leakage of a full-pitch winding with q = 1 is 0.09662 of the magnetising
// inductance in an unslotted gap; open slots and the order by which the gap closes harmonics move it by a few tenths.
TEST(Leakage, DifferentialPartOfASmoothRotor) {
  auto machine = small_machine({.salient = false, .nonlinear = false});
  StaticField& field = *machine->field;
  double differential = 0, magnetising = 0;
  const int positions = 12;
  for (int i = 0; i < positions; ++i) {  // turn the current's axis over one slot pitch's worth of positions
    const double angle = pi / 2 * i / positions;
    const LinkageParts d =
        split_linkages_dq(field, field.solve(dq_excitation(machine->section, {10, 0, 0}, 0, angle))).d;
    differential += d.differential / positions;
    magnetising += d.magnetising / positions;
  }
  EXPECT_GT(differential / magnetising, 0.5 * 0.09662);
  EXPECT_LT(differential / magnetising, 1.5 * 0.09662);
}

TEST(Leakage, CoilSidesLieOnTheirSlotAxes) {
  auto machine = small_machine();
  const std::vector<CoilSideAxis> axes = coil_side_axes(*machine->field);
  ASSERT_EQ(axes.size(), 3u);
  const double expected[] = {-15, 15, 45};
  for (const CoilSideAxis& axis : axes) {
    const int slot = machine->section.regions[axis.region].slot;
    EXPECT_NEAR(axis.angle * 180 / pi, expected[slot], 1e-12);
  }
}

}  // namespace
}  // namespace polepitch
