#include "solver/sparse_lu.h"

#include <umfpack.h>

#include <new>
#include <stdexcept>
#include <string>

#include "geometry/error.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

void check(int status) {
  if (status == UMFPACK_OK) return;
  if (status == UMFPACK_WARNING_singular_matrix)
    throw ConvergenceError(
        "the equations of the time-harmonic field are singular",
        "a part may float: look at the boundary, at rings without resistance and at a frequency of 0");
  if (status == UMFPACK_ERROR_out_of_memory) throw std::bad_alloc();
  throw std::logic_error("UMFPACK refused a matrix: status " + std::to_string(status));
}

/// UMFPACK's two families of functions under one name. std::complex is two doubles in a row: its packed form.
template <class Number>
struct Calls;

template <>
struct Calls<double> {
  static void defaults(double* control) { umfpack_di_defaults(control); }
  static int symbolic(const ColumnPattern& p, const double* v, void** out, const double* control) {
    return umfpack_di_symbolic(p.size, p.size, p.start.data(), p.row.data(), v, out, control, nullptr);
  }
  static int numeric(const ColumnPattern& p, const double* v, void* symbolic, void** out, const double* control) {
    return umfpack_di_numeric(p.start.data(), p.row.data(), v, symbolic, out, control, nullptr);
  }
  static int solve(const ColumnPattern& p, const double* v, double* x, const double* b, void* numeric,
                   const double* control) {
    return umfpack_di_solve(UMFPACK_A, p.start.data(), p.row.data(), v, x, b, numeric, control, nullptr);
  }
  static void release(void** symbolic, void** numeric) {
    umfpack_di_free_numeric(numeric);
    umfpack_di_free_symbolic(symbolic);
  }
};

template <>
struct Calls<Complex> {
  static void defaults(double* control) { umfpack_zi_defaults(control); }
  static int symbolic(const ColumnPattern& p, const double* v, void** out, const double* control) {
    return umfpack_zi_symbolic(p.size, p.size, p.start.data(), p.row.data(), v, nullptr, out, control, nullptr);
  }
  static int numeric(const ColumnPattern& p, const double* v, void* symbolic, void** out, const double* control) {
    return umfpack_zi_numeric(p.start.data(), p.row.data(), v, nullptr, symbolic, out, control, nullptr);
  }
  static int solve(const ColumnPattern& p, const double* v, double* x, const double* b, void* numeric,
                   const double* control) {
    return umfpack_zi_solve(UMFPACK_A, p.start.data(), p.row.data(), v, nullptr, x, nullptr, b, nullptr, numeric,
                            control, nullptr);
  }
  static void release(void** symbolic, void** numeric) {
    umfpack_zi_free_numeric(numeric);
    umfpack_zi_free_symbolic(symbolic);
  }
};

}  // namespace

template <class Number>
struct SparseLu<Number>::Impl {
  const ColumnPattern& pattern;
  double control[UMFPACK_CONTROL];
  void *symbolic = nullptr, *numeric = nullptr;
  std::vector<Number> values;

  explicit Impl(const ColumnPattern& p) : pattern(p) {
    Calls<Number>::defaults(control);
    control[UMFPACK_IRSTEP] = 0;  // Newton repeats what a solution lacks; two refinements took three solutions' time
  }
  ~Impl() { Calls<Number>::release(&symbolic, &numeric); }
  const double* numbers() const { return reinterpret_cast<const double*>(values.data()); }
};

template <class Number>
SparseLu<Number>::SparseLu(const ColumnPattern& pattern) : impl_(std::make_unique<Impl>(pattern)) {}
template <class Number>
SparseLu<Number>::~SparseLu() = default;

template <class Number>
void SparseLu<Number>::factorise(std::span<const Number> values) {
  Impl& m = *impl_;
  m.values.assign(values.begin(), values.end());
  if (m.symbolic == nullptr) check(Calls<Number>::symbolic(m.pattern, m.numbers(), &m.symbolic, m.control));
  void* none = nullptr;
  Calls<Number>::release(&none, &m.numeric);
  check(Calls<Number>::numeric(m.pattern, m.numbers(), m.symbolic, &m.numeric, m.control));
}

template <class Number>
std::vector<Number> SparseLu<Number>::solve(std::span<const Number> right) const {
  const Impl& m = *impl_;
  if (m.numeric == nullptr) throw std::logic_error("SparseLu::solve before factorise");
  std::vector<Number> solution(right.size());
  check(Calls<Number>::solve(m.pattern, m.numbers(), reinterpret_cast<double*>(solution.data()),
                             reinterpret_cast<const double*>(right.data()), m.numeric, m.control));
  return solution;
}

template class SparseLu<double>;
template class SparseLu<Complex>;

}  // namespace polepitch
