#include "solver/gmres.h"

#include <Eigen/Dense>
#include <cmath>

namespace polepitch {
namespace {

using RealView = Eigen::Map<const Eigen::VectorXd>;

/// Real and imaginary parts as one real vector.
RealView real_view(const ComplexVector& v) {
  return {reinterpret_cast<const double*>(v.data()), static_cast<Eigen::Index>(2 * v.size())};
}

void add(ComplexVector& to, double scale, const ComplexVector& v) {
  for (size_t i = 0; i < to.size(); ++i) to[i] += scale * v[i];
}

ComplexVector scaled(const ComplexVector& v, double scale) {
  ComplexVector w(v.size());
  add(w, scale, v);
  return w;
}

}  // namespace

bool gmres(const RealLinearMap& product, const RealLinearMap& precondition, const ComplexVector& b, double goal,
           int most, ComplexVector& x) {
  x.assign(b.size(), 0);
  const double size = real_view(b).norm();
  if (size <= goal) return true;
  std::vector<ComplexVector> basis{scaled(b, 1 / size)}, images;  // of the Krylov space; through the preconditioner
  Eigen::MatrixXd h = Eigen::MatrixXd::Zero(most + 1, most);
  for (int k = 0; k < most; ++k) {
    images.push_back(precondition(basis.back()));
    ComplexVector w = product(images.back());
    for (int i = 0; i <= k; ++i) {
      h(i, k) = real_view(basis[i]).dot(real_view(w));
      add(w, -h(i, k), basis[i]);
    }
    h(k + 1, k) = real_view(w).norm();
    const Eigen::MatrixXd small = h.topLeftCorner(k + 2, k + 1);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(k + 2);
    right[0] = size;
    const Eigen::VectorXd y = small.householderQr().solve(right);
    if ((right - small * y).norm() <= goal) {
      for (int i = 0; i <= k; ++i) add(x, y[i], images[i]);
      return true;
    }
    if (!(h(k + 1, k) > 0)) return false;
    basis.push_back(scaled(w, 1 / h(k + 1, k)));
  }
  return false;
}

}  // namespace polepitch
