// Generalised minimal residuals for real-linear maps of complex vectors, preconditioned on the right (Y. Saad,
// M. H. Schultz, SIAM J. Sci. Stat. Comput. 7, 1986).
#pragma once

#include <complex>
#include <functional>
#include <vector>

namespace polepitch {

using ComplexVector = std::vector<std::complex<double>>;
using RealLinearMap = std::function<ComplexVector(const ComplexVector&)>;

/// x with |b − A x| at most `goal`, in `most` iterations or fewer; false where that is not reached, and x is then of no
/// use. Both maps need only be linear over the real numbers.
bool gmres(const RealLinearMap& product, const RealLinearMap& precondition, const ComplexVector& b, double goal,
           int most, ComplexVector& x);

}  // namespace polepitch
