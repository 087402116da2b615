// Curves for the charts of the report page.
#pragma once

#include <string>

#include "post/results.h"

namespace polepitch {

/// Whether a chart may sort its rows by the abscissa: it rises strictly, and something is drawn over it.
bool is_chart(const ResultCurve& curve);

/// {"id", "study", "title", "words", "x": {name, unit, log, values},
/// "panels": [{"unit", "log", "lines": [{name, error, values}]}]} with one panel a unit; "log": drawn in logarithms as
/// the pictures are; "words" says the curve's ends and extremes for those who do not see the chart. Values have
/// six digits; where one is not a number the line breaks, or goes on to the next point if `joined`.
std::string chart_json(const ResultCurve& curve, bool joined = false);

/// {"light": [{colour, dash}…], "dark": …, "ramp": colours of the bands of |B|} as the pictures have them.
std::string pens_json();

}  // namespace polepitch
