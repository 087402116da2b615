#include "post/cage_data.h"

#include <cmath>

#include <fmt/format.h>

namespace polepitch {

double bar_resistance(double length, double area, double conductivity) {
  return length / (conductivity * area);
}

double ring_segment_resistance(double mean_diameter, double area, int bars, double conductivity) {
  return pi * mean_diameter / (bars * conductivity * area);
}

double bar_with_rings(double bar, double ring_segment, int pole_pairs, int bars) {
  const double sine = std::sin(pi * pole_pairs / bars);
  return bar + ring_segment / (2 * sine * sine);
}

double referred_factor(const WindingLayout& layout, int bars) {
  const double turns = layout.turns_in_series() * std::abs(winding_factor(layout, layout.pole_pairs));
  return 4 * layout.phases * turns * turns / bars;
}

CageData cage_data(const Section& section, const EndRing& ring, const Materials& materials, double temperature) {
  CageData data;
  const Region* first = nullptr;
  double area = 0;
  for (const Region& region : section.regions) {
    if (region.role != Role::bar) continue;
    if (first == nullptr) first = &region;
    area += region.area * section.sectors;
    data.bars += section.sectors;
  }
  if (first == nullptr) return data;
  const Material& material = materials.at(first->material);
  const double conductivity = material.conductivity_at(temperature);
  if (conductivity <= 0)
    throw InputError(fmt::format("the bars are of \"{}\", whose conductivity is not stated", first->material),
                     "state conductivity in the material's file");
  data.bar = bar_resistance(section.length, first->area, conductivity);
  data.bar_mass = area * section.length * material.density;
  data.bar_with_rings = data.bar;
  if (ring.area > 0) {
    data.ring_segment = ring_segment_resistance(ring.mean_diameter, ring.area, data.bars, conductivity);
    data.bar_with_rings = bar_with_rings(data.bar, data.ring_segment, section.pole_pairs, data.bars);
    data.ring_mass = 2 * pi * ring.mean_diameter * ring.area * material.density;
  }
  if (!section.winding.sides.empty()) data.referred = referred_factor(section.winding, data.bars) * data.bar_with_rings;
  return data;
}

}  // namespace polepitch
