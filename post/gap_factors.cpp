#include "post/gap_factors.h"

#include <cmath>

#include "solver/bh_curve.h"

namespace polepitch {

double carter_gamma(double opening, double gap) {
  const double x = opening / (2 * gap);
  return 4 / pi * (x * std::atan(x) - 0.5 * std::log1p(x * x));
}

double carter_factor(double slot_pitch, double opening, double gap) {
  return slot_pitch / (slot_pitch - carter_gamma(opening, gap) * gap);
}

double annulus_factor(double inner_radius, double outer_radius, int pole_pairs) {
  // (1 + ρ)/(1 − ρ) = coth(p ln(r_a/r_i)): no cancellation however thin the gap is.
  return 1 / std::tanh(pole_pairs * std::log(outer_radius / inner_radius));
}

double slotless_main_inductance(int phases, int pole_pairs, double turns_in_series, double winding_factor,
                                double length, double inner_radius, double outer_radius) {
  const double turns = winding_factor * turns_in_series;
  return 2 * phases * mu0 * length * turns * turns / (pi * pole_pairs) *
         annulus_factor(inner_radius, outer_radius, pole_pairs);
}

}  // namespace polepitch
