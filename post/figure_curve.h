// A result curve as a chart: lines told apart by dash and marker, one panel per unit; spectra as bars.
#pragma once

#include "post/canvas.h"
#include "post/results.h"

namespace polepitch {

/// Throws std::logic_error when the columns differ in length (a bug of the study). Points that are not finite leave a
/// break in the line. `machine_title` stands before the study under the title.
Canvas draw_curve_figure(const ResultCurve& curve, const std::string& machine_title = "");

}  // namespace polepitch
