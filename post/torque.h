// Torque of one field by every method the solver offers, side by side.
#pragma once

#include <vector>

#include "post/dq.h"
#include "solver/static_field.h"

namespace polepitch {

/// Torque on the rotor, whole machine [N m]. `annulus` is the result; the others check or diagnose it.
struct TorqueRecord {
  double annulus = 0;              // closed form from the annulus harmonics (theory.md, eq. 9)
  double virtual_work_stator = 0;  // nodal virtual work in the stator's elements (theory.md, eq. 10)
  double virtual_work_rotor = 0;   // the same in the rotor's
  double arkkio_stator = 0;        // volume integral between gap circle and bore: a diagnostic, worse on graded meshes
  double arkkio_rotor = 0;
  double from_linkages = 0;  // (m/2) p (λ_d i_q − λ_q i_d): equals the others in the mean over positions, not at one

  /// Largest difference of the virtual-work values from the annulus [N m].
  double cross_check() const;
};

TorqueRecord torque_record(const StaticField& field, const StaticSolution& solution, const Excitation& excitation);

/// Mean, and peak to peak, over equally spaced positions.
struct MeanAndRipple {
  double mean = 0, ripple = 0;
};
MeanAndRipple mean_and_ripple(const std::vector<double>& values);

/// Largest value of a sampled curve and where, on the parabola through its largest sample and that one's neighbours
/// (any spacing); an end of the curve stands as it is.
struct CurvePeak {
  double at = 0, value = 0;
};
CurvePeak curve_peak(const std::vector<double>& x, const std::vector<double>& y);

}  // namespace polepitch
