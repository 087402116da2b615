// Loops over third-order elements, four side by side, compiled for several processors. The bubble inside every element
// is eliminated from its matrix: what is left are the shapes of second order and the edges' bubbles.
#pragma once

#include "solver/element_packs.h"
#include "solver/third_order_tables.h"

namespace polepitch {

using ThirdOrderPack = ElementPack<kThirdShapes, kThirdPoints>;
using ThirdOrderSlopes = ReferenceSlopes<kThirdShapes, kThirdPoints>;

struct ThirdOrderCondensed {
  static constexpr int kKept = kThirdShapes - 1;
  int unknown[kThirdShapes][kLanes];
  Lanes k[kKept * (kKept + 1) / 2];  // lower triangle by rows, signs included, as in what follows
  Lanes to_inside[kKept];            // k_i9/k_99
  Lanes inside, inverse;             // k_99 and 1/k_99; 0 in an empty lane
};

namespace third_order {

/// y += K x of the kept shapes.
void add_product(const ThirdOrderCondensed* all, size_t count, const double* x, double* y);
/// force += K z of elements of constant reluctivity, the inside put back.
void add_linear_force(const ThirdOrderCondensed* all, size_t count, const double* z, double* force);
/// The matrix of elements of constant reluctivity.
void stiffen_linear(const ThirdOrderPack& pack, const ThirdOrderSlopes& slopes, double nu, ThirdOrderCondensed& out);
/// The matrix about z (tangent, or reluctivity frozen), and force += the internal one there.
void add_iron(const ThirdOrderPack& pack, const ThirdOrderSlopes& slopes, const BhCurve& curve, bool frozen,
              const double* z, double* force, ThirdOrderCondensed& out);
/// The inside's part of a right-hand side carried over to the rest; returns what it alone does to its energy norm
/// squared.
double eliminate(const ThirdOrderCondensed* all, size_t count, double* right);
/// The inside's own step, `right` being the right-hand side before `eliminate` and x the step of the rest.
void add_inside(const ThirdOrderCondensed* all, size_t count, const double* right, const double* x, double* z);
/// x += alpha d and r −= alpha image of conjugate gradients; then d = z + beta d.
void advance(size_t size, double alpha, const double* direction, const double* image, double* x, double* r);
void redirect(size_t size, double beta, const double* z, double* direction);
/// ∫ H dB [J/m].
double energy(const ThirdOrderPack& pack, const ThirdOrderSlopes& slopes, const BhCurve& curve, const double* z);

}  // namespace third_order
}  // namespace polepitch
