// The few dense operations that the gap coupling needs, through BLAS and LAPACK. Matrices are stored by columns.
#pragma once

#include <Eigen/Dense>
#include <vector>

namespace polepitch::dense {

/// y = A x for a bare x of a.cols() entries, y = Aᵀ x for one of a.rows() entries.
void multiply(const Eigen::MatrixXd& a, const double* x, Eigen::VectorXd& y);
void multiply_transposed(const Eigen::MatrixXd& a, const double* x, Eigen::VectorXd& y);
/// y += scale · A x for a bare y of a.rows() entries.
void add_product(const Eigen::MatrixXd& a, const Eigen::VectorXd& x, double scale, double* y);

/// The same in single precision.
void multiply_transposed(const Eigen::MatrixXf& a, const float* x, Eigen::VectorXf& y);
void add_product(const Eigen::MatrixXf& a, const Eigen::VectorXf& x, float* y);

/// x = L⁻¹ x, L the lower triangle of a square matrix of x.rows() rows.
void solve_lower(const std::vector<double>& l, Eigen::MatrixXd& x);
/// g = xᵀ x, both triangles.
void gram(const Eigen::MatrixXd& x, Eigen::MatrixXd& g);
/// c = a b.
void multiply(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b, Eigen::MatrixXd& c);

/// LU with row exchanges.
struct Lu {
  Eigen::MatrixXd factors;
  std::vector<int> exchanges;
  bool factorise();  // of what `factors` holds; false when singular
  void solve(Eigen::VectorXd& x) const;
};

/// x = A⁻¹ x with the factors and exchanges of an Lu in single precision.
void solve(const Eigen::MatrixXf& factors, const std::vector<int>& exchanges, Eigen::VectorXf& x);

}  // namespace polepitch::dense
