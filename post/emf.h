// The voltage that turning linkages induce: spectrum, waveform, distortion (theory.md, eq. 51 and 52). Motoring signs:
// u = +dλ/dt, the terminal voltage on no load.
#pragma once

#include <complex>
#include <vector>

namespace polepitch {

/// Linkages of m phases (odd m) at equal steps over 180°/m electrical of rotor angle, as [phase][step] → phase A's over
/// a whole period from the same angle: λ_A(θe + 180°/m) = −λ_k(θe), k = (m − 1)/2. Holds for symmetric windings, the
/// rotor turning with the phases in positive sequence.
std::vector<double> unfold_period(const std::vector<std::vector<double>>& phases);

/// Fourier coefficients c_n of equal steps over one period, f(θ) = Re Σ c_n e^{jnθ}, n = 0 … highest; `highest` below
/// half the number of steps. Throws std::logic_error otherwise.
std::vector<std::complex<double>> period_spectrum(const std::vector<double>& steps, int highest);

/// u_n = jnω λ_n.
std::vector<std::complex<double>> induced_voltage(const std::vector<std::complex<double>>& linkage, double omega);

/// Values at `count` equal steps of one period.
std::vector<double> waveform(const std::vector<std::complex<double>>& spectrum, int count);

/// Line to line of two phases 120° apart: u_n (1 − e^{-jn120°}); orders divisible by three vanish.
std::vector<std::complex<double>> line_voltage(const std::vector<std::complex<double>>& phase);

/// √(Σ_{n≥2} |u_n|²)/|u_1| (IEC 60034-1: of the line voltage, orders to 100; memory). 0 without a fundamental.
double total_distortion(const std::vector<std::complex<double>>& spectrum);

/// √(Σ (|u_n|/|u_1|)²/n), n = 2 … 13 but not divisible by three (IEC 60034-1, three phases; memory).
double harmonic_voltage_factor(const std::vector<std::complex<double>>& spectrum);

}  // namespace polepitch
