// Reactances and time constants from the oscillogram of a sudden short circuit of all phases, by the construction of
// IEC 60034-4-1: the alternating component along the rotor's d-axis, less the sustained current, on a logarithmic axis
// over time as a sum of two straight lines, transient and subtransient; the direct component likewise.
#pragma once

#include <vector>

#include "post/construction.h"

namespace polepitch {

struct Oscillogram {
  std::vector<double> time;                 // s, from the short circuit, rising, not necessarily equally spaced
  std::vector<std::vector<double>> phases;  // A, one list a phase
  std::vector<double> axes;                 // rad, electrical, of the phases
  double omega = 0;                         // rad/s, held
  double rotor_angle = 0;                   // rad, electrical, of the d-axis at time 0
  double voltage = 0;                       // V, peak, of a phase before the short circuit
  double sustained = 0;                     // A, peak, that is left in the end
};

struct OscillogramConstants {
  double x_d_transient = 0, x_d_subtransient = 0;  // ohm
  double t_d_transient = 0, t_d_subtransient = 0;  // s
  double t_a = 0;                                  // s
  double transient = 0, subtransient = 0;          // A, peak: both parts at time 0
  double direct = 0;                               // A: direct component of the space vector at time 0
  double first_peak = 0;                           // A, largest magnitude of a phase
  double deviation = 0;                        // of the record from its components, root of the mean square, relative
  Construction alternating, direct_component;  // semi-logarithmic, as data
};

/// Needs four periods or more. The components are told apart by least squares over the whole record, so that the lines
/// on paper begin at the short circuit whatever slots and direct component do to single peaks. Throws
/// std::invalid_argument where the record is too short, or its parts cannot be told apart.
OscillogramConstants read_oscillogram(const Oscillogram& oscillogram);

}  // namespace polepitch
