// Flux density of every part against its design limit.
#pragma once

#include "post/canvas.h"
#include "post/results.h"

namespace polepitch {

/// One group of bars per part: largest, at a third of the height, 99th percentile; the limit as a mark across. Parts
/// over their limit are named in words. `machine_title` stands before the study under the title.
Canvas draw_flux_bars_figure(const FluxDensityTable& table, const std::string& machine_title = "");

}  // namespace polepitch
