// The few dense operations that the gap coupling needs, through BLAS and LAPACK, in double and single precision.
// Matrices are stored by columns.
#pragma once

#include <Eigen/Dense>
#include <vector>

namespace polepitch::dense {

template <class Real>
using Matrix = Eigen::Matrix<Real, Eigen::Dynamic, Eigen::Dynamic>;
template <class Real>
using Vector = Eigen::Matrix<Real, Eigen::Dynamic, 1>;

/// y = A x for a bare x of a.cols() entries, y = Aᵀ x for one of a.rows() entries.
void multiply(const Matrix<double>& a, const double* x, Vector<double>& y);
void multiply_transposed(const Matrix<double>& a, const double* x, Vector<double>& y);
void multiply_transposed(const Matrix<float>& a, const float* x, Vector<float>& y);
/// y += scale · A x for a bare y of a.rows() entries.
void add_product(const Matrix<double>& a, const Vector<double>& x, double scale, double* y);
void add_product(const Matrix<float>& a, const Vector<float>& x, float scale, float* y);

/// x = L⁻¹ x, L the lower triangle of a square matrix of x.rows() rows.
void solve_lower(const std::vector<double>& l, Matrix<double>& x);
void solve_lower(const std::vector<float>& l, Matrix<float>& x);
/// g = xᵀ x, both triangles.
void gram(const Matrix<double>& x, Matrix<double>& g);
void gram(const Matrix<float>& x, Matrix<float>& g);
/// c = a b.
void multiply(const Matrix<double>& a, const Matrix<double>& b, Matrix<double>& c);
void multiply(const Matrix<float>& a, const Matrix<float>& b, Matrix<float>& c);

/// LU with row exchanges, of double or float.
template <class Real>
struct Lu {
  Matrix<Real> factors;
  std::vector<int> exchanges;
  bool factorise();  // of what `factors` holds; false when singular
  void solve(Vector<Real>& x) const;
};

}  // namespace polepitch::dense
