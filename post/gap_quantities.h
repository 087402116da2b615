// The air-gap field on the mean gap circle: waveform over one revolution and spectrum by order (theory.md, eq. 13).
#pragma once

#include <complex>
#include <string>
#include <vector>

#include "post/results.h"
#include "solver/gap_field.h"

namespace polepitch {

struct GapWaveform {
  double radius = 0;                       // m, of the mean gap circle
  std::vector<double> angle;               // rad, mechanical, stator frame, 0 … `span` without its end
  std::vector<double> radial, tangential;  // T
};

/// `samples` equal steps over `span` radians from angle 0.
GapWaveform gap_waveform(const GapField& gap, int samples, double span);

/// One order of both components: B = amplitude · cos(nθ − phase), θ mechanical in the stator frame.
struct GapOrder {
  int order = 0;                                // mechanical n
  double electrical_order = 0;                  // n/p
  double radial = 0, radial_phase = 0;          // T, rad
  double tangential = 0, tangential_phase = 0;  // T, rad
};
std::vector<GapOrder> gap_spectrum(const GapField& gap, int pole_pairs);

/// B_r of mechanical order p as B e^{jα}: B_r1(θ) = B cos(pθ − α) [T]. 0 when the sector does not admit the order.
std::complex<double> fundamental_radial(const GapField& gap, int pole_pairs);

/// Waves of one order that turn with and against the supply's sequence: B_f cos(nθ − φ) and B_b cos(nθ + φ).
struct RotatingWaves {
  double forward = 0, backward = 0;  // T
};
/// From that order's vectors B e^{jα} at equal steps of the supply's phase φ over one period, rotor still. A field that
/// only turns has no backward wave; one phase alone has two equal ones.
RotatingWaves rotating_waves(const std::vector<std::complex<double>>& vectors);

/// √(Σ_{n≠p} B_n²) / B_p of the radial component; 0 when there is no fundamental.
double harmonic_content(const std::vector<GapOrder>& spectrum, int pole_pairs);

/// Largest |B_r| of a waveform [T], and its mean |B_r|.
double peak_radial(const GapWaveform& waveform);
double mean_absolute_radial(const GapWaveform& waveform);

/// Curves for CSV and pictures: angle, B_r, B_theta; and order, electrical order, amplitudes, phases.
ResultCurve waveform_curve(const std::string& study, const std::string& name, const GapWaveform& waveform);
ResultCurve spectrum_curve(const std::string& study, const std::string& name, const std::vector<GapOrder>& spectrum);

}  // namespace polepitch
