#include "post/torque.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "field_machine_helper.h"
#include "solver/bh_curve.h"

namespace polepitch {
namespace {

TEST(Torque, MeanAndRipple) {
  const MeanAndRipple result = mean_and_ripple({10, 12, 11, 9});
  EXPECT_NEAR(result.mean, 10.5, 1e-15);
  EXPECT_NEAR(result.ripple, 3, 1e-15);
  EXPECT_EQ(mean_and_ripple({}).ripple, 0);
}

TEST(Torque, CrossCheckIsTheLargerDifference) {
  TorqueRecord record;
  record.annulus = 10;
  record.virtual_work_stator = 10.1;
  record.virtual_work_rotor = 9.7;
  EXPECT_NEAR(record.cross_check(), 0.3, 1e-14);
}

// Formula: the vertex of a parabola, found exactly from unequal samples.
TEST(Torque, CurvePeak) {
  std::vector<double> x = {0, 1, 2.5, 3, 5}, y;
  for (double v : x) y.push_back(7 - 0.5 * (v - 2.2) * (v - 2.2));
  EXPECT_NEAR(curve_peak(x, y).at, 2.2, 1e-13);
  EXPECT_NEAR(curve_peak(x, y).value, 7, 1e-13);
  EXPECT_EQ(curve_peak({1, 2, 3}, {5, 4, 1}).at, 1);
  EXPECT_EQ(curve_peak({1, 2, 3}, {4, 4, 4}).value, 4);
}

/// Mean over four positions of the largest deviation of virtual work, and of Arkkio's integral, from the annulus.
struct Deviation {
  double virtual_work = 0, arkkio = 0;
};
Deviation mean_deviation(double density) {
  auto machine = testing::small_machine({.density = density});
  Deviation mean;
  for (int i = 0; i < 4; ++i) {
    const Excitation e = dq_excitation(machine->section, {0, 60, 0}, 4, 0.05 + 0.03 * i);
    const TorqueRecord record = torque_record(*machine->field, machine->field->solve(e), e);
    EXPECT_GT(record.annulus, 0);  // signs: T > 0 for i_q > 0 with the field excited
    const double arkkio =
        std::max(std::abs(record.arkkio_stator - record.annulus), std::abs(record.arkkio_rotor - record.annulus));
    mean.virtual_work += record.cross_check() / record.annulus / 4;
    mean.arkkio += arkkio / record.annulus / 4;
  }
  return mean;
}

// Virtual work takes the layer of elements beside the gap circle, the annulus its harmonics, Arkkio's integral the air
// up to the surface: different discretisations of one torque, so their differences fall with the mesh. Over this
// halving they fell sixteenfold.
TEST(Torque, MethodsMeetAsTheMeshIsRefined) {
  const Deviation coarse = mean_deviation(0.5), fine = mean_deviation(1);
  EXPECT_LT(fine.virtual_work, 1e-3);
  EXPECT_LT(fine.arkkio, 1e-3);
  EXPECT_LT(fine.virtual_work, coarse.virtual_work / 4);
  EXPECT_LT(fine.arkkio, coarse.arkkio / 4);
}

// Formula: at constant dq currents ∂W'/∂θ has no mean over a period, so the mean torque is (m/2) p (λ_d i_q − λ_q i_d).
// The period is 60° electrical; what is left is the aliasing of the ripple at 24 positions: measured 3e-7.
TEST(Torque, MeanOverAPeriodIsThatOfTheLinkages) {
  auto machine = testing::small_machine();
  std::vector<double> annulus, linkages;
  StaticSolution last;
  for (int i = 0; i < 24; ++i) {
    const Excitation e = dq_excitation(machine->section, {-20, 60, 0}, 4, pi / 6 * i / 24);
    last = machine->field->solve(e, i > 0 ? &last : nullptr);
    const TorqueRecord record = torque_record(*machine->field, last, e);
    annulus.push_back(record.annulus);
    linkages.push_back(record.from_linkages);
  }
  const double mean = mean_and_ripple(annulus).mean;
  EXPECT_GT(mean, 0);
  EXPECT_GT(mean_and_ripple(annulus).ripple, 0.01 * mean);  // open slots: it does ripple
  EXPECT_NEAR(mean_and_ripple(linkages).mean, mean, 1e-5 * mean);
}

}  // namespace
}  // namespace polepitch
