// A chart in characters, for a terminal: lines of one abscissa, each by its own letter.
#pragma once

#include <string>

#include "post/results.h"

namespace polepitch {

/// `columns` × `rows` characters of plot with the axes' ends beside it and a legend below. The first column of the
/// curve is the abscissa; values that are not numbers are passed over. "" where there is nothing to draw.
std::string text_chart(const ResultCurve& curve, int columns = 64, int rows = 16);

}  // namespace polepitch
