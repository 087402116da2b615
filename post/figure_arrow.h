// An arrow with a filled head, as phasors and vectors have it.
#pragma once

#include "post/canvas.h"

namespace polepitch {

/// From page point to page point; nothing is drawn below one point of length.
void draw_arrow(Canvas& canvas, Point from, Point to, const Pen& pen);

}  // namespace polepitch
