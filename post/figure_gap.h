// Flux density around the gap and its spectrum.
#pragma once

#include <string>

#include "post/canvas.h"
#include "solver/gap_field.h"

namespace polepitch {

struct GapFigureOptions {
  std::string title{};
  double largest_order = 0;  // electrical, of the spectrum; 0: up to the last order worth a bar, at most 50
};

/// B_r and B_θ on the mean circle of the annulus over one period of the field, and the amplitudes of their harmonics
/// over the electrical order ν/p.
Canvas draw_gap_figure(const GapField& gap, int pole_pairs, const GapFigureOptions& options = {});

/// Smallest stretch of the circle [rad] after which the field repeats: 2π over the greatest common divisor of the
/// orders that carry more than 1e-6 of the largest.
double gap_period(const GapField& gap);

}  // namespace polepitch
