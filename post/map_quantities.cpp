#include "post/map_quantities.h"

namespace polepitch {

std::vector<QuantityDefinition> map_quantities() {
  return {
      {"map_points", "", "Points of the flux map's grid of currents."},
      {"map_points_solved", "",
       "Of these, the points solved on the mesh of the study; the others add what these tell to a rough field's map."},
      {"map_error_linkage", "",
       "Largest difference of a linkage between flux map and field at points off the grid, over the map's largest "
       "linkage."},
      {"map_error_torque", "",
       "Largest difference of torque between flux map and field at points off the grid, over the map's largest "
       "torque."},
      {"map_error_iron_loss", "",
       "Largest difference of iron loss between its map over the currents and the field at points off the grid, over "
       "the "
       "map's largest loss."},
      {"iron_loss", "W", "Loss of the laminated cores of stator and rotor: hysteresis, classical and excess."},
      {"iron_loss_stator", "W", "Iron loss of the stator's laminated core."},
      {"iron_loss_rotor", "W", "Iron loss of the rotor's laminated core."},
      {"hysteresis_loss", "W", "Hysteresis part of the iron loss, of every closed loop of the flux density."},
      {"classical_loss", "W", "Classical eddy-current part of the iron loss."},
      {"excess_loss", "W", "Excess part of the iron loss."},
      {"torque_limit", "N m",
       "Largest torque of the air gap at the limit of current, where the voltage does not bind yet."},
      {"current_angle_mtpa", "deg",
       "Electrical angle by which the current leads the rotor's d-axis at most torque per ampere and the limit of "
       "current."},
      {"base_speed", "rpm",
       "Speed up to which the limit of current alone bounds the torque: there the voltage reaches its limit."},
      {"efficiency", "",
       "Useful over supplied power: by copper loss of stator and field and by iron loss; friction and additional load "
       "losses are left out."},
      {"efficiency_most", "", "Largest efficiency inside the limits of current and voltage."},
      {"efficiency_most_speed", "rpm", "Speed of the largest efficiency, on the map's grid."},
      {"efficiency_most_torque", "N m", "Shaft torque of the largest efficiency, on the map's grid."},
      {"characteristic_current", "A",
       "Current, r.m.s., against the magnets on the d-axis that brings the d-axis linkage to 0."},
  };
}

}  // namespace polepitch
