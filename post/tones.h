// Tones of known frequencies in sampled waves, and spectra of a window: what slot harmonics of currents and torque
// are read with.
#pragma once

#include <complex>
#include <vector>

namespace polepitch {

/// (2/m) Σ x_k e^{jα_k} of phase values at the axes α_k [rad, electrical]: a balanced set x_k = X cos(ωt + φ − α_k)
/// gives X e^{j(ωt + φ)}.
std::complex<double> space_vector(const std::vector<double>& phases, const std::vector<double>& axes);

/// Amplitudes c of Σ c_k e^{jω_k t} nearest to `values` (least squares). Frequencies [rad/s] must differ by more than
/// about one over the window.
std::vector<std::complex<double>> fit_tones(const std::vector<double>& times,
                                            const std::vector<std::complex<double>>& values,
                                            const std::vector<double>& omegas);

/// Amplitudes of cosines of the orders 0 … `largest` of 1/window in equally spaced values, by a Hann window, whose
/// lines are three orders wide; order 0 is the mean.
std::vector<double> hann_spectrum(const std::vector<double>& values, int largest);

}  // namespace polepitch
