#include "post/torque.h"

#include <gtest/gtest.h>

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

}  // namespace
}  // namespace polepitch
