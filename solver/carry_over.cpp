#include "solver/carry_over.h"

#include "geometry/locator.h"
#include "solver/triangle.h"

namespace polepitch {

CarryOver::CarryOver(const Section& section, const Mesh& from, const Mesh& to) : from_(from) {
  for (const Side side : {Side::stator, Side::rotor}) {
    const Locator locator(section, from, side);
    const size_t end = side == Side::stator ? static_cast<size_t>(to.stator_nodes) : to.nodes.size();
    for (size_t n = places_.size(); n < end; ++n) {
      const Located at = locator.find(to.nodes[n]);
      places_.push_back({at.triangle, at.l1, at.l2, at.sign});
    }
  }
}

std::vector<double> CarryOver::operator()(const std::vector<double>& nodal) const {
  std::vector<double> carried(places_.size(), 0.0);
  const size_t count = from_.order == 2 ? 6 : 3;
  for (size_t n = 0; n < carried.size(); ++n) {
    const Place& place = places_[n];
    if (place.triangle < 0) continue;  // nowhere near: the iteration starts from zero there
    const ShapeValues shape = shape_values(from_.order, {place.l1, place.l2});
    for (size_t i = 0; i < count; ++i)
      carried[n] += place.sign * shape.value[i] * nodal[static_cast<size_t>(from_.triangles[place.triangle][i])];
  }
  return carried;
}

}  // namespace polepitch
