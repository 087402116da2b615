// The cross-section as the program understood it: all sectors with their signs, the winding by pattern, letter and
// sign, magnets by arrows, field coils by sign, and the main dimensions.
#pragma once

#include <string>

#include "geometry/section.h"
#include "post/canvas.h"
#include "post/figure_outline.h"
#include "post/figure_palette.h"

namespace polepitch {

struct SectionFigureOptions {
  std::string title{};
  Window window;
  bool dimensions = true;
  double rotor_angle = 0;  // rad, mechanical
};

Canvas draw_section_figure(const Section& section, const SectionFigureOptions& options = {});

/// The parts of both sides, filled, hatched and outlined, without words.
void draw_section_parts(Canvas& canvas, const Section& section, const View& view, double rotor_angle);

/// Of a coil side of that branch: phases of stator and rotor by their number, field windings all alike.
Look coil_look(const Section& section, int branch);

/// Letter of a branch with the sign of its current's reference direction in sector copy `sector`: "A+", "F−".
std::string coil_side_label(const Section& section, const Region& region, int sector);

}  // namespace polepitch
