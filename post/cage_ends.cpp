#include "post/cage_ends.h"

#include <algorithm>
#include <cmath>

#include "post/cage_data.h"
#include "post/region_shape.h"

namespace polepitch {
namespace {

const Region* first_bar(const Section& section, int cage) {
  for (const Region& region : section.regions)
    if (region.branch >= 0 && section.branches[static_cast<size_t>(region.branch)].kind == BranchKind::bar &&
        section.branches[static_cast<size_t>(region.branch)].cage == cage)
      return &region;
  return nullptr;
}

int bars_of_cage(const Section& section) {
  return section.sectors *
         static_cast<int>(std::count_if(section.branches.begin(), section.branches.end(),
                                        [](const Branch& b) { return b.kind == BranchKind::bar && b.cage == 0; }));
}

struct Ends {
  const Section& section;
  const Values& rotor;
  int bars = 0;
  double overhang = 0;

  RingSegment ring(const std::string& prefix, double conductivity) const {
    RingSegment segment;
    if (rotor.has(prefix + "ring_height")) {
      const double height = rotor.number(prefix + "ring_height"), width = rotor.number(prefix + "ring_width");
      const double diameter = rotor.number(prefix + "ring_mean_diameter");
      segment = {ring_segment_resistance(diameter, height * width, bars, conductivity),
                 ring_segment_inductance(diameter, height, width, bars, overhang <= 0)};
    }
    if (rotor.has(prefix + "ring_segment_resistance"))
      segment.resistance = rotor.number(prefix + "ring_segment_resistance");
    if (rotor.has(prefix + "ring_segment_inductance"))
      segment.inductance = rotor.number(prefix + "ring_segment_inductance");
    return segment;
  }

  RingSegment bar_ends(const Region& bar, double conductivity) const {
    if (overhang <= 0) return {};
    const Point centre = centre_of_area(section, bar);
    const double half = 0.5 * outline_length(section, bar), r = std::hypot(centre.x, centre.y);
    return {bar_resistance(2 * overhang, bar.area, conductivity),
            2 * overhang * overhang_inductance(bars, section.pole_pairs, r, half)};
  }
};

}  // namespace

double ring_segment_inductance(double mean_diameter, double height, double width, int bars, bool at_stack) {
  const double outline = at_stack ? height + 2 * width : 2 * (height + width);
  return mu0 * mean_diameter / (2 * bars) * std::log(4.7 * mean_diameter / outline);
}

double overhang_inductance(int bars, int pole_pairs, double radius, double half_outline) {
  double sum = std::log(0.2235 * half_outline);
  for (int k = 1; k < bars; ++k)
    sum += std::log(2 * radius * std::sin(pi * k / bars)) * std::cos(2 * pi * pole_pairs * k / bars);
  return -mu0 / (2 * pi) * sum;
}

CageEnds cage_ends(const Section& section, const Block& rotor, const Materials& materials, double temperature) {
  CageEnds ends;
  const Region *inner = first_bar(section, 0), *outer = first_bar(section, 1);
  if (inner == nullptr) return ends;
  const auto conductivity = [&](const Region& bar) {
    const double sigma = materials.at(bar.material).conductivity_at(temperature);
    if (sigma <= 0)
      throw InputError("the bars are of \"" + bar.material + "\", whose conductivity is not stated",
                       "state conductivity in the material's file");
    return sigma;
  };
  const Ends of{section, rotor.values, bars_of_cage(section),
                rotor.values.has("bar_overhang") ? rotor.values.number("bar_overhang") : 0};
  ends.ring = of.ring("", conductivity(*inner));
  ends.overhang = of.bar_ends(*inner, conductivity(*inner));
  if (outer == nullptr) return ends;
  ends.separate_rings = rotor.values.has("rings") && rotor.values.text("rings") == "separate";
  if (ends.separate_rings) ends.outer_ring = of.ring("outer_", conductivity(*outer));
  ends.outer_overhang = of.bar_ends(*outer, conductivity(*outer));
  return ends;
}

}  // namespace polepitch
