// Flux linkages and torque over currents in the rotor's dq frame, on a tensor grid of means over rotor positions, and
// what lies between its points: a bicubic spline (natural ends) in i_d and i_q, linear in i_f. Amplitude-invariant dq,
// q leads d by 90° electrical (IEEE Std 1110); motoring current into the terminal.
#pragma once

#include <cstddef>
#include <vector>

namespace polepitch {

struct FluxMap {
  int phases = 3, pole_pairs = 1;
  std::vector<double> i_d, i_q;  // A, peak, ascending
  std::vector<double> i_f;       // A, ascending; {0} where the rotor has no field winding
  // One value a grid point, at(d, q, f); whole machine.
  std::vector<double> lambda_d, lambda_q;  // Wb, peak, end winding included
  std::vector<double> lambda_f;            // Wb; zeros without field winding
  std::vector<double> torque;              // N m, on the rotor, of the air gap

  size_t size() const { return i_d.size() * i_q.size() * i_f.size(); }
  size_t at(size_t d, size_t q, size_t f) const { return (f * i_q.size() + q) * i_d.size() + d; }
};

/// Between the grid's points.
struct FluxMapPoint {
  double lambda_d = 0, lambda_q = 0, lambda_f = 0, torque = 0;
  double l_dd = 0, l_dq = 0, l_qd = 0, l_qq = 0;  // H, ∂λ/∂i, incremental
};

}  // namespace polepitch
