#include "solver/dense_blas.h"

#include <cblas.h>

extern "C" {
void dgetrf_(const int* m, const int* n, double* a, const int* lda, int* ipiv, int* info);
void dgetrs_(const char* trans, const int* n, const int* nrhs, const double* a, const int* lda, const int* ipiv,
             double* b, const int* ldb, int* info, size_t trans_length);
void sgetrs_(const char* trans, const int* n, const int* nrhs, const float* a, const int* lda, const int* ipiv,
             float* b, const int* ldb, int* info, size_t trans_length);
}

namespace polepitch::dense {
namespace {

template <class Matrix>
int rows(const Matrix& a) {
  return static_cast<int>(a.rows());
}
template <class Matrix>
int columns(const Matrix& a) {
  return static_cast<int>(a.cols());
}

}  // namespace

void multiply(const Eigen::MatrixXd& a, const double* x, Eigen::VectorXd& y) {
  y.resize(a.rows());
  cblas_dgemv(CblasColMajor, CblasNoTrans, rows(a), columns(a), 1, a.data(), rows(a), x, 1, 0, y.data(), 1);
}

void multiply_transposed(const Eigen::MatrixXd& a, const double* x, Eigen::VectorXd& y) {
  y.resize(a.cols());
  cblas_dgemv(CblasColMajor, CblasTrans, rows(a), columns(a), 1, a.data(), rows(a), x, 1, 0, y.data(), 1);
}

void add_product(const Eigen::MatrixXd& a, const Eigen::VectorXd& x, double scale, double* y) {
  cblas_dgemv(CblasColMajor, CblasNoTrans, rows(a), columns(a), scale, a.data(), rows(a), x.data(), 1, 1, y, 1);
}

void solve_lower(const std::vector<double>& l, Eigen::MatrixXd& x) {
  const int n = rows(x);
  cblas_dtrsm(CblasColMajor, CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, n, columns(x), 1, l.data(), n, x.data(),
              n);
}

void gram(const Eigen::MatrixXd& x, Eigen::MatrixXd& g) {
  const int n = columns(x);
  g.resize(n, n);
  cblas_dsyrk(CblasColMajor, CblasLower, CblasTrans, n, rows(x), 1, x.data(), rows(x), 0, g.data(), n);
  g.triangularView<Eigen::StrictlyUpper>() = g.transpose();
}

void multiply(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b, Eigen::MatrixXd& c) {
  c.resize(a.rows(), b.cols());
  cblas_dgemm(CblasColMajor, CblasNoTrans, CblasNoTrans, rows(a), columns(b), columns(a), 1, a.data(), rows(a),
              b.data(), rows(b), 0, c.data(), rows(c));
}

bool Lu::factorise() {
  const int n = rows(factors);
  int info = 0;
  exchanges.resize(n);
  dgetrf_(&n, &n, factors.data(), &n, exchanges.data(), &info);
  return info == 0;
}

void Lu::solve(Eigen::VectorXd& x) const {
  const int n = rows(factors), one = 1;
  int info = 0;
  dgetrs_("N", &n, &one, factors.data(), &n, exchanges.data(), x.data(), &n, &info, 1);
}

void multiply_transposed(const Eigen::MatrixXf& a, const float* x, Eigen::VectorXf& y) {
  y.resize(a.cols());
  cblas_sgemv(CblasColMajor, CblasTrans, rows(a), columns(a), 1, a.data(), rows(a), x, 1, 0, y.data(), 1);
}

void add_product(const Eigen::MatrixXf& a, const Eigen::VectorXf& x, float* y) {
  cblas_sgemv(CblasColMajor, CblasNoTrans, rows(a), columns(a), 1, a.data(), rows(a), x.data(), 1, 1, y, 1);
}

void solve(const Eigen::MatrixXf& factors, const std::vector<int>& exchanges, Eigen::VectorXf& x) {
  const int n = rows(factors), one = 1;
  int info = 0;
  sgetrs_("N", &n, &one, factors.data(), &n, exchanges.data(), x.data(), &n, &info, 1);
}

}  // namespace polepitch::dense
