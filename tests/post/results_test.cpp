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

Quantity number(double value, std::optional<double> error, std::optional<double> ripple = {}) {
  Quantity q;
  q.value = value, q.error = error, q.ripple = ripple;
  return q;
}

// Five digits; 0.5 of the last one is what rounding itself does (formula).
TEST(ShownNumber, NothingBelowTheLastDigit) {
  ShownNumber n = shown_number(number(94.5063, 0.0712, 0.00031));
  EXPECT_EQ(n.value, "94.506");
  EXPECT_EQ(n.error, "± 0.07");
  EXPECT_EQ(n.ripple, "");
  n = shown_number(number(-140, 5e-10));
  EXPECT_EQ(n.value, "-140");
  EXPECT_EQ(n.error, "");
  n = shown_number(number(352, std::nullopt));
  EXPECT_EQ(n.value, "352");
  EXPECT_EQ(n.error, "");
}

TEST(ShownNumber, NoiseUnderItsErrorIsNoNumber) {
  const ShownNumber n = shown_number(number(-7.2958e-07, 1.2e-5, 1.09e-6));
  EXPECT_EQ(n.value, "0");
  EXPECT_EQ(n.error, "± 1e-05");
  EXPECT_EQ(n.ripple, "");
  EXPECT_EQ(shown_number(number(-1.9e-5, 5e-5)).value, "-2e-05");
  EXPECT_EQ(shown_number(number(0, 0.0)).error, "± 0");
}

}  // namespace
}  // namespace polepitch
