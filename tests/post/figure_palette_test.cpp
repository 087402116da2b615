#include "post/figure_palette.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

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

// WCAG 2.1, 1.4.11 (published): lines and areas that carry meaning stand 3 to 1 against their ground. Relative
// luminance is Y of CIE 1931, by L* of CIE 1976 (formula).
double luminance(const Colour& c) {
  const double f = (lightness(c) + 16) / 116;
  return f > 6.0 / 29 ? f * f * f : lightness(c) * 27 / 24389;
}

double contrast(const Colour& a, const Colour& b) {
  const double p = luminance(a) + 0.05, q = luminance(b) + 0.05;
  return std::max(p, q) / std::min(p, q);
}

TEST(Palette, LinesStandOutFromTheirGround) {
  const Colour paper{1, 1, 1}, dark{0x17 / 255.0, 0x17 / 255.0, 0x1b / 255.0};  // of post/page/page.css
  for (int i = 0; i < 6; ++i) {
    EXPECT_GE(contrast(line_pen(i).colour, paper), 3) << i;
    EXPECT_GE(contrast(line_pen_on_dark(i).colour, dark), 3) << i;
  }
}

// Greyscale is lightness alone. Differences of 2.3 are just seen side by side (CIE 1976; memory); thin lines apart from
// each other need several times that.
TEST(Palette, NeighbouringLinesDifferInGrey) {
  for (int i = 1; i < 6; ++i) {
    EXPECT_GT(std::abs(lightness(line_pen(i).colour) - lightness(line_pen(i - 1).colour)), 12) << i;
    EXPECT_GT(std::abs(lightness(line_pen_on_dark(i).colour) - lightness(line_pen_on_dark(i - 1).colour)), 9) << i;
  }
}

// Bands of |B|, up to 18 of them (post/page/scene_field.js), each against the next.
TEST(Palette, NeighbouringBandsDifferInGrey) {
  constexpr int bands = 18;
  for (int k = 1; k < bands; ++k)
    EXPECT_GT(lightness(sequential((k - 1.0) / (bands - 1))) - lightness(sequential(k / (bands - 1.0))), 2.3) << k;
}

// What lies side by side in a machine: without hatching it differs in grey.
TEST(Palette, PartsThatTouchDifferInGrey) {
  const Look air = role_look(Role::air, Side::rotor), stator = role_look(Role::core, Side::stator);
  const Look rotor = role_look(Role::core, Side::rotor), magnet = role_look(Role::magnet, Side::rotor);
  const Look sleeve = role_look(Role::sleeve, Side::rotor), bar = role_look(Role::bar, Side::rotor);
  const Look shaft = role_look(Role::shaft, Side::rotor), wedge = role_look(Role::wedge, Side::stator);
  const std::vector<std::pair<Look, Look>> touching = {
      {air, stator},  {air, rotor},     {rotor, magnet}, {air, magnet},   {rotor, bar},    {air, bar},
      {rotor, shaft}, {magnet, sleeve}, {air, sleeve},   {rotor, sleeve}, {stator, wedge}, {magnet, shaft}};
  for (std::size_t i = 0; i < touching.size(); ++i)
    EXPECT_GT(std::abs(lightness(touching[i].first.fill) - lightness(touching[i].second.fill)), 8) << i;
}

struct Rgb {
  double r, g, b;
};

double linear(double v) {  // IEC 61966-2-1
  return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
}

double coded(double v) {
  v = std::clamp(v, 0.0, 1.0);
  return v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
}

// Viénot, Brettel and Mollon 1999 (memory): linear RGB as dichromats see it.
Colour as_seen(const Colour& c, bool protan) {
  const Rgb in{linear(c.red), linear(c.green), linear(c.blue)};
  const Rgb one = protan ? Rgb{0.11238, 0.88762, 0} : Rgb{0.29275, 0.70725, 0};
  const Rgb blue = protan ? Rgb{0.00401, -0.00401, 1} : Rgb{-0.02234, 0.02234, 1};
  const double yellow = one.r * in.r + one.g * in.g + one.b * in.b;
  return {coded(yellow), coded(yellow), coded(blue.r * in.r + blue.g * in.g + blue.b * in.b)};
}

// CIE 1976 difference (formula).
double difference(const Colour& a, const Colour& b) {
  const auto lab = [](const Colour& c) {
    const double r = linear(c.red), g = linear(c.green), bl = linear(c.blue);
    const auto f = [](double t) { return t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116; };
    const double x = f((0.4124564 * r + 0.3575761 * g + 0.1804375 * bl) / 0.95047);
    const double y = f(0.2126729 * r + 0.7151522 * g + 0.0721750 * bl);
    const double z = f((0.0193339 * r + 0.1191920 * g + 0.9503041 * bl) / 1.08883);
    return Rgb{116 * y - 16, 500 * (x - y), 200 * (y - z)};
  };
  const Rgb p = lab(a), q = lab(b);
  return std::sqrt((p.r - q.r) * (p.r - q.r) + (p.g - q.g) * (p.g - q.g) + (p.b - q.b) * (p.b - q.b));
}

TEST(Palette, ColourBlindEyesTellNeighboursApart) {
  for (bool protan : {true, false}) {
    for (int i = 1; i < 6; ++i) {
      EXPECT_GT(difference(as_seen(line_pen(i).colour, protan), as_seen(line_pen(i - 1).colour, protan)), 12) << i;
      EXPECT_GT(
          difference(as_seen(line_pen_on_dark(i).colour, protan), as_seen(line_pen_on_dark(i - 1).colour, protan)), 9)
          << i;
    }
    for (int i = 0; i < 3; ++i)
      for (int j = 0; j < i; ++j)
        EXPECT_GT(difference(as_seen(phase_look(i).fill, protan), as_seen(phase_look(j).fill, protan)), 7) << i << j;
    for (int k = 1; k < 18; ++k)
      EXPECT_GT(difference(as_seen(sequential(k / 17.0), protan), as_seen(sequential((k - 1) / 17.0), protan)), 2.3)
          << k;
  }
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
