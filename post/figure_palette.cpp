#include "post/figure_palette.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace polepitch {
namespace {

constexpr std::array<double, 3> white{0.95047, 1, 1.08883};  // D65

double encode(double linear) {  // IEC 61966-2-1
  linear = std::clamp(linear, 0.0, 1.0);
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
}

double decode(double value) {
  return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

double unlab(double f) {
  return f > 6.0 / 29 ? f * f * f : 3 * (6.0 / 29) * (6.0 / 29) * (f - 4.0 / 29);
}

/// Lines in the order of their numbers: neighbours differ in lightness by 15 and more.
struct Tint {
  double lightness, chroma, hue;
  std::vector<double> dash;
};

const Tint& tint_of(int line) {
  static const std::array<Tint, 6> tints{{
      {28, 50, 280, {}},
      {57, 62, 48, {7, 3}},
      {40, 30, 165, {2, 2.5}},
      {61, 44, 340, {9, 3, 2, 3}},
      {46, 46, 95, {4, 2}},
      {24, 10, 260, {12, 4}},
  }};
  return tints[static_cast<std::size_t>(line) % tints.size()];
}

}  // namespace

Colour from_lch(double lightness, double chroma, double hue) {
  const double angle = hue * 3.14159265358979323846 / 180;
  const double fy = (lightness + 16) / 116;
  const double x = white[0] * unlab(fy + chroma * std::cos(angle) / 500);
  const double y = white[1] * unlab(fy);
  const double z = white[2] * unlab(fy - chroma * std::sin(angle) / 200);
  return {encode(3.2404542 * x - 1.5371385 * y - 0.4985314 * z), encode(-0.9692660 * x + 1.8760108 * y + 0.0415560 * z),
          encode(0.0556434 * x - 0.2040259 * y + 1.0572252 * z)};
}

double lightness(const Colour& c) {
  const double y = 0.2126729 * decode(c.red) + 0.7151522 * decode(c.green) + 0.0721750 * decode(c.blue);
  return y > 216.0 / 24389 ? 116 * std::cbrt(y) - 16 : y * 24389 / 27;
}

Colour sequential(double share) {
  const double t = std::clamp(share, 0.0, 1.0);
  return from_lch(97 - 57 * t, 6 + 46 * std::sqrt(t), 105 - 140 * t);
}

Look phase_look(int phase) {
  static const std::array<Look, 6> looks{{
      {from_lch(72, 24, 262), Hatch::rising, from_lch(34, 48, 268)},
      {from_lch(84, 30, 70), Hatch::falling, from_lch(48, 58, 55)},
      {from_lch(93, 16, 150), Hatch::level, from_lch(50, 34, 155)},
      {from_lch(78, 22, 330), Hatch::upright, from_lch(38, 46, 335)},
      {from_lch(88, 28, 105), Hatch::dotted, from_lch(45, 40, 105)},
      {from_lch(80, 18, 205), Hatch::crossed, from_lch(40, 30, 210)},
  }};
  return looks[static_cast<std::size_t>(phase) % looks.size()];
}

Look role_look(Role role, Side side) {
  switch (role) {
    case Role::core:
      return {from_lch(side == Side::stator ? 80 : 74, 3, 260), Hatch::none, {}};
    case Role::winding:
      return phase_look(0);
    case Role::field_winding:
      return {from_lch(87, 22, 60), Hatch::crossed, from_lch(52, 40, 55)};
    case Role::bar:
      return {from_lch(62, 40, 60), Hatch::none, {}};
    case Role::magnet:
      return {from_lch(61, 36, 20), Hatch::none, {}};
    case Role::wedge:
    case Role::insulation:
      return {from_lch(94, 14, 95), Hatch::none, {}};
    case Role::shaft:
      return {from_lch(52, 4, 260), Hatch::none, {}};
    case Role::layer:
      return {from_lch(82, 8, 200), Hatch::none, {}};
    case Role::sleeve:
      return {from_lch(44, 12, 150), Hatch::none, {}};
    case Role::air:
      break;
  }
  return {{1, 1, 1}, Hatch::none, {}};
}

Pen line_pen(int line) {
  const Tint& t = tint_of(line);
  return {from_lch(t.lightness, t.chroma, t.hue), 1.7, t.dash};
}

Pen line_pen_on_dark(int line) {
  const Tint& t = tint_of(line);
  return {from_lch(110 - 0.75 * t.lightness, 0.8 * t.chroma, t.hue), 1.7, t.dash};
}

}  // namespace polepitch
