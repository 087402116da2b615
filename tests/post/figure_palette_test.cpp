#include "post/figure_palette.h"

#include <gtest/gtest.h>

#include <cmath>

namespace polepitch {
namespace {

// CIE 1976: L* of white is 100, of black 0, of the sRGB grey 0.5 53.39 (formula).
TEST(Palette, LightnessFollowsCie) {
  EXPECT_NEAR(lightness({1, 1, 1}), 100, 1e-3);
  EXPECT_NEAR(lightness({0, 0, 0}), 0, 1e-12);
  EXPECT_NEAR(lightness({0.5, 0.5, 0.5}), 53.389, 1e-2);
}

// The map must survive greyscale: lightness falls strictly and evenly.
TEST(Palette, SequentialFallsEvenly) {
  double last = lightness(sequential(0));
  EXPECT_GT(last, 94);
  for (int i = 1; i <= 50; ++i) {
    const double now = lightness(sequential(i / 50.0));
    EXPECT_LT(now, last - 0.6) << i;
    EXPECT_GT(now, last - 1.8) << i;
    last = now;
  }
  EXPECT_GT(last, 30);  // black flux lines stay visible on the darkest band
}

TEST(Palette, PhasesDifferInLightnessAndHatching) {
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < i; ++j) {
      EXPECT_GT(std::abs(lightness(phase_look(i).fill) - lightness(phase_look(j).fill)), 7);
      EXPECT_NE(phase_look(i).hatch, phase_look(j).hatch);
    }
  for (int i = 0; i < 6; ++i) EXPECT_GT(lightness(phase_look(i).fill) - lightness(phase_look(i).line), 30) << i;
}

TEST(Palette, LinesDifferInDash) {
  for (int i = 0; i < 6; ++i)
    for (int j = 0; j < i; ++j) EXPECT_NE(line_pen(i).dash, line_pen(j).dash);
}

}  // namespace
}  // namespace polepitch
