#include "solver/complex_lu.h"

#include <umfpack.h>

#include <stdexcept>

#include "geometry/error.h"

namespace polepitch {

struct ComplexLu::Impl {
  const ColumnPattern& pattern;
  double control[UMFPACK_CONTROL];
  void *symbolic = nullptr, *numeric = nullptr;
  std::vector<double> values;  // real and imaginary parts in turn

  explicit Impl(const ColumnPattern& p) : pattern(p) { umfpack_zi_defaults(control); }
  ~Impl() {
    umfpack_zi_free_numeric(&numeric);
    umfpack_zi_free_symbolic(&symbolic);
  }
  void check(int status) const {
    if (status == UMFPACK_OK) return;
    if (status == UMFPACK_WARNING_singular_matrix)
      throw ConvergenceError("the equations of the time-harmonic field are singular",
                             "a part may float: look at the boundary and at frequencies of 0");
    if (status == UMFPACK_ERROR_out_of_memory) throw std::bad_alloc();
    throw std::logic_error("UMFPACK refused a matrix: status " + std::to_string(status));
  }
};

ComplexLu::ComplexLu(const ColumnPattern& pattern) : impl_(std::make_unique<Impl>(pattern)) {}
ComplexLu::~ComplexLu() = default;
ComplexLu::ComplexLu(ComplexLu&&) noexcept = default;

void ComplexLu::factorise(std::span<const std::complex<double>> values) {
  Impl& m = *impl_;
  const ColumnPattern& p = m.pattern;
  m.values.resize(2 * values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    m.values[2 * i] = values[i].real();
    m.values[2 * i + 1] = values[i].imag();
  }
  const double* v = m.values.data();
  if (m.symbolic == nullptr)
    m.check(
        umfpack_zi_symbolic(p.size, p.size, p.start.data(), p.row.data(), v, nullptr, &m.symbolic, m.control, nullptr));
  umfpack_zi_free_numeric(&m.numeric);
  m.check(umfpack_zi_numeric(p.start.data(), p.row.data(), v, nullptr, m.symbolic, &m.numeric, m.control, nullptr));
}

std::vector<std::complex<double>> ComplexLu::solve(std::span<const std::complex<double>> right) const {
  const Impl& m = *impl_;
  if (m.numeric == nullptr) throw std::logic_error("ComplexLu::solve before factorise");
  std::vector<std::complex<double>> solution(right.size());
  // std::complex is two doubles in a row: UMFPACK's packed form.
  m.check(umfpack_zi_solve(UMFPACK_A, m.pattern.start.data(), m.pattern.row.data(), m.values.data(), nullptr,
                           reinterpret_cast<double*>(solution.data()), nullptr,
                           reinterpret_cast<const double*>(right.data()), nullptr, m.numeric, m.control, nullptr));
  return solution;
}

}  // namespace polepitch
