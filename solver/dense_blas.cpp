#include "solver/dense_blas.h"

#include <cblas.h>

extern "C" {
void dgetrf_(const int* m, const int* n, double* a, const int* lda, int* ipiv, int* info);
void sgetrf_(const int* m, const int* n, float* a, const int* lda, int* ipiv, int* info);
void dgetrs_(const char* trans, const int* n, const int* nrhs, const double* a, const int* lda, const int* ipiv,
             double* b, const int* ldb, int* info, size_t trans_length);
void sgetrs_(const char* trans, const int* n, const int* nrhs, const float* a, const int* lda, const int* ipiv,
             float* b, const int* ldb, int* info, size_t trans_length);
}

namespace polepitch::dense {
namespace {

template <class Real>
int rows(const Matrix<Real>& a) {
  return static_cast<int>(a.rows());
}
template <class Real>
int columns(const Matrix<Real>& a) {
  return static_cast<int>(a.cols());
}
template <class Real>
void mirror(Matrix<Real>& g) {
  g.template triangularView<Eigen::StrictlyUpper>() = g.transpose();
}

constexpr auto kByColumns = CblasColMajor;

}  // namespace

void multiply(const Matrix<double>& a, const double* x, Vector<double>& y) {
  y.resize(a.rows());
  cblas_dgemv(kByColumns, CblasNoTrans, rows(a), columns(a), 1, a.data(), rows(a), x, 1, 0, y.data(), 1);
}

void multiply_transposed(const Matrix<double>& a, const double* x, Vector<double>& y) {
  y.resize(a.cols());
  cblas_dgemv(kByColumns, CblasTrans, rows(a), columns(a), 1, a.data(), rows(a), x, 1, 0, y.data(), 1);
}

void multiply_transposed(const Matrix<float>& a, const float* x, Vector<float>& y) {
  y.resize(a.cols());
  cblas_sgemv(kByColumns, CblasTrans, rows(a), columns(a), 1, a.data(), rows(a), x, 1, 0, y.data(), 1);
}

void add_product(const Matrix<double>& a, const Vector<double>& x, double scale, double* y) {
  cblas_dgemv(kByColumns, CblasNoTrans, rows(a), columns(a), scale, a.data(), rows(a), x.data(), 1, 1, y, 1);
}

void add_product(const Matrix<float>& a, const Vector<float>& x, float scale, float* y) {
  cblas_sgemv(kByColumns, CblasNoTrans, rows(a), columns(a), scale, a.data(), rows(a), x.data(), 1, 1, y, 1);
}

void solve_lower(const std::vector<double>& l, Matrix<double>& x) {
  const int n = rows(x);
  cblas_dtrsm(kByColumns, CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, n, columns(x), 1, l.data(), n, x.data(),
              n);
}

void solve_lower(const std::vector<float>& l, Matrix<float>& x) {
  const int n = rows(x);
  cblas_strsm(kByColumns, CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, n, columns(x), 1, l.data(), n, x.data(),
              n);
}

void gram(const Matrix<double>& x, Matrix<double>& g) {
  const int n = columns(x);
  g.resize(n, n);
  cblas_dsyrk(kByColumns, CblasLower, CblasTrans, n, rows(x), 1, x.data(), rows(x), 0, g.data(), n);
  mirror(g);
}

void gram(const Matrix<float>& x, Matrix<float>& g) {
  const int n = columns(x);
  g.resize(n, n);
  cblas_ssyrk(kByColumns, CblasLower, CblasTrans, n, rows(x), 1, x.data(), rows(x), 0, g.data(), n);
  mirror(g);
}

void multiply(const Matrix<double>& a, const Matrix<double>& b, Matrix<double>& c) {
  c.resize(a.rows(), b.cols());
  cblas_dgemm(kByColumns, CblasNoTrans, CblasNoTrans, rows(a), columns(b), columns(a), 1, a.data(), rows(a), b.data(),
              rows(b), 0, c.data(), rows(c));
}

void multiply(const Matrix<float>& a, const Matrix<float>& b, Matrix<float>& c) {
  c.resize(a.rows(), b.cols());
  cblas_sgemm(kByColumns, CblasNoTrans, CblasNoTrans, rows(a), columns(b), columns(a), 1, a.data(), rows(a), b.data(),
              rows(b), 0, c.data(), rows(c));
}

template <>
bool Lu<double>::factorise() {
  const int n = rows(factors);
  int info = 0;
  exchanges.resize(n);
  dgetrf_(&n, &n, factors.data(), &n, exchanges.data(), &info);
  return info == 0;
}

template <>
bool Lu<float>::factorise() {
  const int n = rows(factors);
  int info = 0;
  exchanges.resize(n);
  sgetrf_(&n, &n, factors.data(), &n, exchanges.data(), &info);
  return info == 0;
}

template <>
void Lu<double>::solve(Vector<double>& x) const {
  const int n = rows(factors), one = 1;
  int info = 0;
  dgetrs_("N", &n, &one, factors.data(), &n, exchanges.data(), x.data(), &n, &info, 1);
}

template <>
void Lu<float>::solve(Vector<float>& x) const {
  const int n = rows(factors), one = 1;
  int info = 0;
  sgetrs_("N", &n, &one, factors.data(), &n, exchanges.data(), x.data(), &n, &info, 1);
}

}  // namespace polepitch::dense
