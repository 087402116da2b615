#include "post/rotor_winding.h"

#include <cmath>

#include "post/region_shape.h"
#include "post/winding_data.h"

namespace polepitch {
namespace {

/// Of the middle of the coil sides [m].
double mean_radius(const Section& section) {
  double area = 0, moment = 0;
  for (const Region& region : section.regions) {
    if (region.side != Side::rotor || region.role != Role::winding) continue;
    const Point centre = centre_of_area(section, region);
    area += region.area;
    moment += region.area * std::hypot(centre.x, centre.y);
  }
  return area > 0 ? moment / area : 0;
}

}  // namespace

RotorWindingData rotor_winding_data(const Section& section, const Machine& machine, const Materials& materials) {
  RotorWindingData data;
  const WindingLayout& layout = section.rotor_winding;
  if (layout.sides.empty()) return data;
  const Block& block = machine.rotor_winding;
  data.winding_factor = std::abs(winding_factor(layout, layout.pole_pairs));
  data.turns_in_series = layout.turns_in_series();
  data.end = end_turn(layout, mean_radius(section), block);
  data.end_inductance = end_winding_inductance(layout, data.end);
  data.conductor_area = stated_conductor_area(block);
  const Material& conductor = materials.at(block.values.text("material"));
  if (data.conductor_area > 0 && conductor.conductivity > 0)
    data.resistance = phase_resistance(layout, 2 * (section.length + data.end.length), data.conductor_area,
                                       conductor.conductivity_at(machine.general.values.number("temperature")));
  return data;
}

}  // namespace polepitch
