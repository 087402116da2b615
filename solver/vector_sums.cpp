#include "solver/vector_sums.h"

#include <cmath>

#include "solver/lanes.h"

namespace polepitch {
namespace {

POLEPITCH_CLONES double dot_of(size_t size, const double* a, const double* b) {
  constexpr size_t kParts = 16;
  double part[kParts] = {};
  size_t i = 0;
  for (; i + kParts <= size; i += kParts)
    for (size_t k = 0; k < kParts; ++k) part[k] += a[i + k] * b[i + k];
  for (size_t k = 0; i < size; ++i, ++k) part[k] += a[i] * b[i];
  for (size_t half = kParts / 2; half > 0; half /= 2)
    for (size_t k = 0; k < half; ++k) part[k] += part[k + half];
  return part[0];
}

}  // namespace

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  return dot_of(a.size(), a.data(), b.data());
}

double norm(const std::vector<double>& v) {
  return std::sqrt(dot(v, v));
}

}  // namespace polepitch
