#include "post/damper_rings.h"

#include <cmath>

namespace polepitch {

std::vector<RingPiece> damper_rings(const Section& section, const Machine& machine, const Materials& materials,
                                    double temperature) {
  const Values& v = machine.rotor.values;
  std::vector<const Region*> bars;
  for (const Region& region : section.regions)
    if (region.branch >= 0 && section.branches[region.branch].kind == BranchKind::damper) bars.push_back(&region);
  if (bars.empty() || !v.has("damper_ring") || v.text("damper_ring") == "none") return {};
  const bool round = v.text("damper_ring") == "all-round";
  const double conductivity = materials.at(bars[0]->material).conductivity_at(temperature);
  const double area = v.has("damper_ring_height") ? v.number("damper_ring_height") * v.number("damper_ring_width") : 0;
  const double turn = section.sector_angle();
  std::vector<RingPiece> pieces;
  for (size_t k = 0; k < bars.size(); ++k) {
    const bool last = k + 1 == bars.size();
    const Region& next = *bars[last ? 0 : k + 1];
    const Point a = bars[k]->seed, b = next.seed;
    const double angle = last ? turn : 0;
    const double length = std::hypot(b.x * std::cos(angle) - b.y * std::sin(angle) - a.x,
                                     b.x * std::sin(angle) + b.y * std::cos(angle) - a.y);
    RingPiece& piece = pieces.emplace_back();
    piece.joined = round || (!last && next.slot == bars[k]->slot);
    piece.resistance = area > 0 ? length / (conductivity * area) : 0;
    piece.inductance = length * v.number("damper_ring_inductance");
  }
  return pieces;
}

void check_damper_rings(const Machine& machine, std::vector<Diagnostic>& faults) {
  const Values& v = machine.rotor.values;
  const char* const names[] = {"damper_ring_height", "damper_ring_width"};
  for (int k : {0, 1})
    if (v.has(names[k]) && !v.has(names[1 - k]))
      faults.push_back({v.place(names[k]),
                        std::string("rotor.") + names[1 - k] + " is missing beside rotor." + names[k],
                        "state both, or neither for rings without resistance"});
}

}  // namespace polepitch
