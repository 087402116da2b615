// Iron loss of laminated cores from the field's own locus of B at every place: three terms, hysteresis, classical eddy
// currents and excess (G. Bertotti, IEEE Trans. Magn. 24(1), 1988; memory), with the material's coefficients of
// k_h f B^alpha + k_c (f B)² + k_e (f B)^1.5 at sinusoidal B. Both components of a rotating field count (theory.md,
// eqs. 43–45). One quantity for every study; the loss does not act back on the field.
#pragma once

#include <complex>
#include <span>
#include <string>
#include <vector>

#include "solver/static_field.h"

namespace polepitch {

struct IronLossParts {
  double hysteresis = 0, classical = 0, excess = 0;
  double total() const { return hysteresis + classical + excess; }
  /// The same locus run through at another speed: the terms go with f, f² and f^1.5.
  IronLossParts at_speed(double ratio) const;
  void add(const IronLossParts& more, double times = 1);
};

/// Loss per mass [W/kg] of a locus of B [T], equally spaced samples of one period, whose last sample joins the first.
/// Derivatives are those of the trigonometric interpolation. Hysteresis: each closed loop (minor ones too) of the
/// components along the locus' principal axes counts with half its width to the exponent, whatever it is biased by.
IronLossParts specific_iron_loss(std::span<const double> bx, std::span<const double> by, double frequency,
                                 const IronLossCoefficients& coefficients);

/// Half widths [T] of the closed loops of a periodic signal, the largest first; counted by pairs of reversals
/// (M. Matsuishi, T. Endo, 1968; memory).
std::vector<double> closed_loops(std::span<const double> samples);

/// Loss of the whole machine [W].
struct IronLoss {
  IronLossParts stator, rotor;
  double total() const { return stator.total() + rotor.total(); }
};

/// A triangle of a laminated core.
struct IronPlace {
  int triangle;
  Side side;
  double mass;      // kg, whole machine
  double stacking;  // of the core
  IronLossCoefficients coefficients;
};
/// Throws InputError that names the file of a material without coefficients.
std::vector<IronPlace> iron_places(const Section& section, const Mesh& mesh, const Materials& materials);

/// Of a time-harmonic field, A [Wb/m] peak phasors, one a node: each place runs through its ellipse at the frequency of
/// its side [Hz]. What the slots' harmonics add is not in it.
IronLoss harmonic_iron_loss(const Section& section, const Mesh& mesh, const Materials& materials,
                            const std::vector<std::complex<double>>& a, double stator_frequency,
                            double rotor_frequency);

/// B of the lamination at three points of every triangle of the laminated cores, over rotor positions. Half an
/// electrical period (one pole pitch) has `per_half_period` of them, equally spaced; as many half periods are asked for
/// as the sector has poles: the rotor's period.
class IronLossRecord {
 public:
  /// Throws InputError that names the file of a material without coefficients.
  IronLossRecord(const StaticField& field, const Materials& materials, int per_half_period);
  int positions() const { return per_half_ * halves_; }
  double step(const Section& section) const;  // rad, mechanical, between positions
  /// Thread-safe for different positions.
  void add(int position, const StaticField& field, const StaticSolution& solution);
  /// At this electrical frequency, once every position is in.
  IronLoss loss(double frequency) const;

 private:
  IronLossParts of_place(size_t place, double frequency) const;

  int per_half_ = 0, halves_ = 1;
  std::vector<IronPlace> places_;  // one a triangle, three points each
  std::vector<float> bx_, by_;     // [position][place][point]
};

/// The material of the section's laminated cores that states no coefficients; "" where all do.
std::string core_without_loss(const Section& section, const Materials& materials);

}  // namespace polepitch
