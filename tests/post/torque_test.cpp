#include "post/torque.h"

#include <gtest/gtest.h>

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

// Signs: T > 0 for i_q > 0 with the field excited. Virtual work takes the layer
// of elements beside the gap circle, the annulus its harmonics: they differ by the coarse mesh's discretisation.
TEST(Torque, MethodsAgreeOnOneField) {
  auto machine = testing::small_machine();
  const Excitation e = dq_excitation(machine->section, {0, 60, 0}, 4, 0.05);
  const TorqueRecord record = torque_record(*machine->field, machine->field->solve(e), e);
  EXPECT_GT(record.annulus, 0);
  EXPECT_LT(record.cross_check(), 2e-3 * record.annulus);
  // Arkkio's integral on this coarse mesh is a diagnostic; a graded mesh does not suit it.
  EXPECT_NEAR(record.arkkio_stator, record.annulus, 0.1 * record.annulus);
  EXPECT_NEAR(record.arkkio_rotor, record.annulus, 0.1 * record.annulus);
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
