// |B| in bands with unbroken flux lines over the section with the rotor turned.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "geometry/mesh.h"
#include "post/canvas.h"
#include "post/figure_outline.h"
#include "solver/gap_field.h"

namespace polepitch {

struct FieldFigureOptions {
  std::string title{};
  Window window;
  int lines = 24;               // flux lines of the whole section: steps between the extremes of A
  double line_step = 0;         // Wb/m between neighbouring lines; 0: from `lines`
  double largest = 0;           // T, start of the open top band; 0: from the field
  std::vector<int> hatched{};   // triangles that are hatched …
  std::string hatched_words{};  // … and what that says
};

/// `a`: Wb/m, one per mesh node, each side in its own frame (StaticSolution::a). |B| is averaged at nodes inside each
/// region, never across regions.
Canvas draw_field_figure(const Section& section, const Mesh& mesh, std::span<const double> a, const GapField& gap,
                         double rotor_angle, const FieldFigureOptions& options = {});

/// Where the open top band of these |B| [T] starts: all but a few nodes at sharp corners stay under it.
double band_top(std::vector<double> values);

}  // namespace polepitch
