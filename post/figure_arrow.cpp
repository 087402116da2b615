#include "post/figure_arrow.h"

#include <algorithm>
#include <cmath>

namespace polepitch {

void draw_arrow(Canvas& canvas, Point from, Point to, const Pen& pen) {
  const double dx = to.x - from.x, dy = to.y - from.y, length = std::hypot(dx, dy);
  if (length < 1) return;
  const double ux = dx / length, uy = dy / length, head = std::min(11.0, 0.7 * length);
  const Point foot{to.x - head * ux, to.y - head * uy};
  canvas.stroke(Path().move(from).line({to.x - 0.8 * head * ux, to.y - 0.8 * head * uy}), pen);
  const double w = 0.34 * head;
  canvas.fill(Path().move(to).line({foot.x - w * uy, foot.y + w * ux}).line({foot.x + w * uy, foot.y - w * ux}).close(),
              pen.colour, Edges::smooth);
}

}  // namespace polepitch
