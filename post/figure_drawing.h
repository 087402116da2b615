// A drawing with its faults: each ringed and numbered, some of them enlarged.
#pragma once

#include <string>

#include "geometry/drawing_faults.h"
#include "post/canvas.h"

namespace polepitch {

Canvas draw_faults_figure(const DxfDrawing& drawing, const std::vector<DrawingFault>& faults, const std::string& title);

}  // namespace polepitch
