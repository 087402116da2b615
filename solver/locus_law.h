// The fundamental of H on the locus of a time-harmonic B (docs/theory.md, eq. 65): with w̄ the mean over a period of
// w(|Re B e^{jωt}|), H = 4 ∂w̄/∂B*, and its symmetric tangent in real parts.
#pragma once

#include "solver/bh_curve.h"

namespace polepitch {

/// Components in the order Re x, Re y, Im x, Im y.
struct LocusLaw {
  double h[4];           // A/m, peak
  double tangent[4][4];  // ∂h/∂b, symmetric, positive definite
};

/// `b` [T, peak]. Sixteen instants over half a period: exact for a circular locus, and for smooth curves to rounding.
LocusLaw locus_law(const BhCurve& curve, const double b[4]);

}  // namespace polepitch
