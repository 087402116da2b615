#include "post/results.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

TEST(ErrorText, OneDigit) {
  EXPECT_EQ(error_text(0.0872), "± 0.09");
  EXPECT_EQ(error_text(132), "± 100");
  EXPECT_EQ(error_text(96), "± 100");
  EXPECT_EQ(error_text(0), "± 0");
  EXPECT_EQ(error_text(3.2e-7), "± 3e-07");
}

}  // namespace
}  // namespace polepitch
