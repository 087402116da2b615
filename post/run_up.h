// A motor from standstill to where its torque meets the load's: J dΩ/dt = T(Ω) − T_L(Ω), with the heat that is left in
// rotor and stator on the way. Quasi-steady: the currents follow the speed at once.
#pragma once

#include <functional>
#include <vector>

namespace polepitch {

struct RunUpInput {
  std::function<double(double)> torque, load;                 // N m over the speed [rad/s]
  std::function<double(double)> bar_loss, ring_loss, copper;  // W over the speed
  double inertia = 0;                                         // kg m2, of everything that turns
  double final_speed = 0;                                     // rad/s, where torque and load meet
  double near = 0.99;                                         // share of the final speed that counts as there
  double longest = 3600;                                      // s, after which it ends in any case
  double tolerance = 1e-8;                                    // of a step, over final speed and its kinetic energy
};

struct RunUp {
  std::vector<double> time, speed;          // s, rad/s
  std::vector<double> bars, rings, copper;  // J up to then
  bool arrived = false;                     // at `near` of the final speed within `longest`
};

/// Dormand–Prince 5(4) with step control; the last point is the first at or past `near` of the final speed.
RunUp run_up(const RunUpInput& input);

/// First speed from standstill on at which torque falls under the load, by `steps` equal steps up to `synchronous` and
/// bisection; `synchronous` where it never does, 0 where it does at standstill.
double meeting_speed(const std::function<double(double)>& torque, const std::function<double(double)>& load,
                     double synchronous, int steps = 2000);

}  // namespace polepitch
