// From slots, poles, phases and pitch to coil sides and winding factors. No field is needed for any of it.
#pragma once

#include <complex>
#include <string>
#include <vector>

#include "geometry/parameter.h"

namespace polepitch {

/// One side of one coil. Slots count from 0 counter-clockwise; layer 0 is the one at the slot bottom (far from the
/// gap), layer 1 the one at the opening; with one layer every side has layer 0.
struct CoilSide {
  int slot = 0;
  int layer = 0;
  int phase = 0;
  int sign = 1;  // +1: positive phase current flows along +z here
  int coil = 0;  // the two sides of a coil share this number
};

struct WindingLayout {
  int phases = 3;
  int slots = 0;
  int pole_pairs = 1;
  int layers = 1;
  int turns_per_coil = 1;
  int parallel_paths = 1;
  int strands = 1;
  std::vector<CoilSide> sides;  // whole machine, sorted by slot, then layer
  double slot0_angle = 0;       // rad, mechanical: centre of slot 0, such that phase A's MMF axis lies at angle 0

  double slot_angle(int slot) const;  // rad
  double turns_in_series() const;     // N per phase and path
};

/// The star of slots for integer and fractional slots per pole and phase, or the explicit coil table of the case.
/// Throws InputError in the words of the case file when no balanced winding exists.
WindingLayout lay_out_winding(const Block& winding, int slots, int pole_pairs);

/// Electrical angle [rad] of a phase's axis from phase A's: 2π k/m for odd m, π k/m for even m.
double phase_axis(int phases, int phase);

/// "A", "B", "C" …
std::string phase_name(int phase);

/// Winding factor of the mechanical order nu (electrical order nu/p): k with magnitude pitch × distribution factor and
/// argument nu × position of the phase's axis, so that phase current i makes the gap MMF
/// Σ_nu (2/π) (N/nu) i Re(k* e^{j nu θ}), N turns in series, MMF positive where it drives flux outward. 0 for a phase
/// without coils.
std::complex<double> winding_factor(const WindingLayout& layout, int nu, int phase = 0);

/// Equal coil groups of a phase, the largest number of parallel paths that share the current equally.
int equal_paths(const WindingLayout& layout);

/// MMF of the whole winding for given phase currents [A, per terminal], sampled at angles [rad]: ampere, zero mean,
/// positive outward. On a coil side itself: the mean of both neighbours.
std::vector<double> mmf_waveform(const WindingLayout& layout, const std::vector<double>& phase_currents,
                                 const std::vector<double>& angles);

/// σ_δ = Σ (k_wν p/(ν k_wp))² over every order that a balanced current makes but the working one, exactly: from the
/// squared MMF steps of the Görges polygon, no series is cut off.
double differential_leakage(const WindingLayout& layout);

/// Largest number of equal sectors over which the winding repeats, with the sign of the repetition.
struct Repetition {
  int sectors = 1;
  int sign = 1;  // −1: antiperiodic
};
Repetition repetition(const WindingLayout& layout);

}  // namespace polepitch
