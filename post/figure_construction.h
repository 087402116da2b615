// A construction as a picture: curves and lines told apart by dash, named points with a mark, phasors with their heads.
#pragma once

#include "post/canvas.h"
#include "post/construction.h"

namespace polepitch {

/// `machine_title` stands before the study and the construction's source under the title.
Canvas draw_construction_figure(const Construction& construction, const std::string& machine_title = "");

}  // namespace polepitch
