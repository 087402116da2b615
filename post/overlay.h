// What is no curve of a rising abscissa, of several runs over each other: loci, the lines of constructions (V-curves,
// capability) and phasors. Colour says the line, dashes say the run.
#pragma once

#include <string>
#include <vector>

#include "post/canvas.h"
#include "post/comparison.h"

namespace polepitch {

struct OverlayLine {
  std::string label;  // "run: line"
  int line = 0;       // which line of the figure: its colour
  int run = 0;        // whose: its dashes
  std::vector<double> x, y;
};

struct Overlay {
  std::string study, name, title;
  std::string x_name, x_unit, y_name, y_unit;
  bool equal_scales = false;  // phasors
  std::vector<OverlayLine> lines;
};

/// Of everything that at least two runs have under the same study and name; each run keeps its own points.
std::vector<Overlay> overlays_of(const std::vector<RunRecord>& runs);

Canvas draw_overlay_figure(const Overlay& overlay);

}  // namespace polepitch
