#include "post/map_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> map_quantities() {
  return {
      {"map_points", "", "Points of the flux map's grid of currents."},
      {"map_error_linkage", "",
       "Largest difference of a linkage between flux map and field at points off the grid, over the map's largest "
       "linkage."},
      {"map_error_torque", "",
       "Largest difference of torque between flux map and field at points off the grid, over the map's largest "
       "torque."},
  };
}

}  // namespace polepitch
