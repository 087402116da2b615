// The colours and patterns of every picture. Colours are set in CIELAB (D65), so that lightness carries the message and
// pictures survive greyscale printing and colour blindness; patterns and dashes tell apart what colours tell apart.
#pragma once

#include "post/canvas.h"

namespace polepitch {

/// sRGB of a colour given by CIE lightness L* (0 … 100), chroma C* and hue angle [deg]; clipped to the sRGB gamut.
Colour from_lch(double lightness, double chroma, double hue);

/// CIE lightness L* of an sRGB colour.
double lightness(const Colour& colour);

/// Sequential map, share 0 … 1: pale sand over clay to violet; lightness falls evenly, and stays light enough for black
/// lines on it.
Colour sequential(double share);

struct Look {
  Colour fill;
  Hatch hatch = Hatch::none;
  Colour line;  // of the hatching
};

/// Phase 0, 1, 2 …: fills differ in lightness and hue, hatching in direction.
Look phase_look(int phase);
Look role_look(Role role, Side side);

/// Line number 0, 1, 2 … of a chart; dashes differ too.
Pen line_pen(int line);
/// The same line on the page's dark ground (post/page/page.css).
Pen line_pen_on_dark(int line);

inline constexpr Colour ink{0.08, 0.08, 0.10};
inline constexpr Colour pale_ink{0.42, 0.42, 0.45};
inline constexpr Colour grid_ink{0.87, 0.87, 0.88};

}  // namespace polepitch
