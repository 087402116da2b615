// GMRES over the real numbers: a map that is not complex-linear, against its exact answer.
#include "solver/gmres.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

using Complex = std::complex<double>;

/// A x = d x + c x* (formula: x = (d* b − c b*)/(|d|² − |c|²) for constants of each entry). Without the conjugate part
/// known to the preconditioner, every distinct pair of d and c takes two iterations at most.
TEST(Gmres, SolvesARealLinearMap) {
  const ComplexVector d{{3, 1}, {2, -1}, {4, 0}}, c{{1, 0.5}, {0, 1}, {-0.5, 0.2}}, b{{1, 2}, {-1, 0.5}, {0.3, -2}};
  int products = 0;
  const auto product = [&](const ComplexVector& x) {
    ++products;
    ComplexVector y;
    for (size_t i = 0; i < x.size(); ++i) y.push_back(d[i] * x[i] + c[i] * std::conj(x[i]));
    return y;
  };
  const auto precondition = [&](const ComplexVector& x) {
    ComplexVector y;
    for (size_t i = 0; i < x.size(); ++i) y.push_back(x[i] / d[i]);
    return y;
  };
  ComplexVector x;
  ASSERT_TRUE(gmres(product, precondition, b, 1e-12, 6, x));
  EXPECT_LE(products, 6);
  for (size_t i = 0; i < b.size(); ++i) {
    const Complex exact = (std::conj(d[i]) * b[i] - c[i] * std::conj(b[i])) / (std::norm(d[i]) - std::norm(c[i]));
    EXPECT_NEAR(std::abs(x[i] - exact), 0, 1e-11);
  }
}

TEST(Gmres, SaysWhenItDoesNotReachTheGoal) {
  const auto turn = [](const ComplexVector& x) { return ComplexVector{x[1], x[2], x[0]}; };
  const auto same = [](const ComplexVector& x) { return x; };
  ComplexVector x;
  EXPECT_FALSE(gmres(turn, same, {1, 0, 0}, 1e-6, 2, x));  // a cyclic shift: nothing is gained before the third
  EXPECT_TRUE(gmres(turn, same, {1, 0, 0}, 1e-6, 3, x));
  EXPECT_NEAR(std::abs(x[1] - 1.0), 0, 1e-12);
  EXPECT_TRUE(gmres(turn, same, {0, 0, 0}, 0, 3, x));
}

}  // namespace
}  // namespace polepitch
