// Whether magnets keep their magnetisation: the field strength along it against the knee of the demagnetisation curve.
// On the recoil line B_m = B_r + mu_0 mu_r H_m; past the knee, H_m < H_knee (both negative), that line is left for
// good.
#pragma once

#include <optional>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

/// Knee field [A/m, negative] of each region at a temperature [K]; 0: no magnet. Nothing where the section has no
/// magnet, or one whose material states no knee.
std::optional<std::vector<double>> knee_fields(const Section& section, const Materials& materials, double kelvin);

struct Demagnetisation {
  double share = 0;                    // of the magnets' area that is past the knee
  double reached = 0;                  // H_m/H_knee that is passed in a hundredth of the magnets' area: 1 is the knee
  std::vector<double> reached_near{};  // the same of 1/2, 1, 3/2 and 2 hundredths
  int worst_region = 0;                // where H_m/H_knee is largest
};

/// At the integration points of every magnet, the field as it is (magnets at full remanence). `knees`: of knee_fields.
/// The largest value at a point is none of a field's: at a magnet's corner in iron it grows without end with finer
/// meshes.
Demagnetisation demagnetisation(const StaticField& field, const StaticSolution& solution,
                                const std::vector<double>& knees);

/// The triangles whose middle is past the knee.
std::vector<int> demagnetised_triangles(const StaticField& field, const StaticSolution& solution,
                                        const std::vector<double>& knees);

}  // namespace polepitch
