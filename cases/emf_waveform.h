// Voltage on no load over one period, its harmonics and distortion; for every study that gives it.
#pragma once

#include "cases/study_tools.h"

namespace polepitch {

/// `steps` rotor positions over 180°/m electrical (m odd) whose linkages stand for the whole period by the winding's
/// symmetry; where one more position shows that they do not, the whole period is solved.
struct EmfRequest {
  double field_current = 0;  // A
  int steps = 40;
  At at;  // operating point, told with each quantity
};

/// Adds emf_peak, emf_distortion …, the curves "emf" and "emf_harmonics", and the flux densities over the positions.
void add_emf(StudyContext& context, const EmfRequest& request, StudyResult& result, double from, double to);

/// Linkages of phase A over one period [Wb], the rotor's d-axis first on its axis; rated speed does not enter. Adds the
/// flux densities to the result.
std::vector<double> linkage_period(StudyContext& context, const EmfRequest& request, StudyResult& result, double from,
                                   double to);

}  // namespace polepitch
