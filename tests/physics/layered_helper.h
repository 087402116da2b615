// Closed form of concentric rings between two infinitely permeable surfaces, one space harmonic at a time (formula:
// Laplace's and Poisson's equation by separation of variables). Independent of the finite elements.
#pragma once

#include <complex>
#include <vector>

namespace polepitch::test {

/// One ring and its sources of order n: current density J = Re(j e^{jnθ}), radial remanence B = Re(b e^{jnθ}).
struct RingLayer {
  double outer_radius = 0;  // m
  double mu_r = 1;
  std::complex<double> current_density = 0;   // A/m2
  std::complex<double> radial_remanence = 0;  // T
};

/// A = Re(potential(r) e^{jnθ}), n >= 1.
class LayeredField {
 public:
  LayeredField(int order, double inner_radius, std::vector<RingLayer> layers);
  std::complex<double> potential(double r) const;   // Wb/m
  std::complex<double> radial(double r) const;      // T
  std::complex<double> tangential(double r) const;  // T
  /// Mean over the area of the ring `layer` of the radial function: ∫ A r dr / ∫ r dr.
  std::complex<double> mean_potential(int layer) const;

 private:
  size_t layer_at(double r) const;
  std::complex<double> particular(size_t layer, double r) const;
  std::complex<double> particular_slope(size_t layer, double r) const;
  std::complex<double> slope(size_t layer, double r) const;
  double inner(size_t layer) const { return layer == 0 ? inner_radius_ : layers_[layer - 1].outer_radius; }

  int order_;
  double inner_radius_;
  std::vector<RingLayer> layers_;
  std::vector<std::complex<double>> rising_, falling_;  // of (r/outer)^n and (inner/r)^n in each layer
};

}  // namespace polepitch::test
