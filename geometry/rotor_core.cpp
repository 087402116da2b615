#include "geometry/rotor_core.h"

namespace polepitch {

void draw_rotor_core(const Plan& plan, SideDrawing& drawing, const SlotSite& site, const SlotOutline& outline,
                     const std::vector<double>& axes) {
  add_ring(drawing, drawing.gap_radius, "gap circle of the rotor");
  draw_shaft(plan, drawing, site.floor_radius);
  add_edges(drawing, drawing.far_radius, drawing.gap_radius);
  draw_slots(drawing, site, outline, axes, "rotor slot");
  add_air_gap(drawing, plan, drawing.start_angle);
  const double bottom = site.radius - outline.points.back().depth;
  add_label(drawing.sketch, make_region(drawing, Role::core, "rotor core", rotor_material(*plan.machine)),
            polar((site.floor_radius + bottom) / 2, axes.front()));
  const double tooth = drawing.start_angle + 1e-3 * 3.14159265358979323846 / site.count;
  add_label(drawing.sketch, make_region(drawing, Role::air, "air gap, rotor side", "air"),
            polar((site.radius + drawing.gap_radius) / 2, tooth));
}

}  // namespace polepitch
