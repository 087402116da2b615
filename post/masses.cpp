#include "post/masses.h"

namespace polepitch {

double mass_of(const Section& section, const Materials& materials, Side side, Role role) {
  double mass = 0;
  for (const Region& region : section.regions) {
    if (region.side != side || region.role != role) continue;
    const double density = materials.at(region.material).density;
    if (density <= 0) return 0;
    const double share = role == Role::core ? section.stacking_factor : 1;
    mass += density * share * region.area * section.length * section.sectors;
  }
  return mass;
}

}  // namespace polepitch
