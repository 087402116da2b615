// The sparse factor against dense algebra on small matrices. Expected: Eigen's dense solve of the same matrix, and L Lᵀ
// as the definition of the factor.
#include "solver/sparse_cholesky.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

namespace polepitch {
namespace {

// Two chains of unknowns, 0 … 5 and 6 … 11, not coupled; the last three of each are a group all coupled.
struct Example {
  std::vector<std::vector<int>> last = {{3, 4, 5}, {9, 10, 11}};
  LowerPattern pattern;
  std::vector<double> values;
  Eigen::MatrixXd dense;

  Example() {
    std::vector<std::vector<int>> groups = last;
    for (int i = 0; i < 11; ++i)
      if (i != 5) groups.push_back({i, i + 1});
    pattern = build_pattern(12, groups);
    dense = Eigen::MatrixXd::Zero(12, 12);
    std::mt19937 random(7);
    std::uniform_real_distribution<double> entry(-1, 1);
    for (int c = 0; c < 12; ++c)
      for (int k = pattern.column_start[c]; k < pattern.column_start[c + 1]; ++k) {
        const int r = pattern.row[k];
        values.push_back(r == c ? 6 : entry(random));  // rows sum to less than the diagonal: positive definite
        dense(r, c) = dense(c, r) = values.back();
      }
  }
};

TEST(SparseCholesky, SolvesAsTheDenseMatrixDoes) {
  const Example example;
  SparseCholesky cholesky(example.pattern, example.last);
  ASSERT_TRUE(cholesky.factorise(example.values));
  std::vector<double> right, solution(12);
  for (int i = 0; i < 12; ++i) right.push_back(i + 1);
  cholesky.solve(right, solution);
  const Eigen::VectorXd expected = example.dense.llt().solve(Eigen::Map<Eigen::VectorXd>(right.data(), 12));
  for (int i = 0; i < 12; ++i) EXPECT_NEAR(solution[i], expected[i], 1e-13) << i;
}

// Eliminating everything but a group leaves the Schur complement, of which the group's triangle is the factor.
TEST(SparseCholesky, GroupsComeLastAndTheirTriangleFactorisesTheSchurComplement) {
  const Example example;
  SparseCholesky cholesky(example.pattern, example.last);
  ASSERT_TRUE(cholesky.factorise(example.values));
  EXPECT_EQ(cholesky.first_of(0), 6);
  EXPECT_EQ(cholesky.first_of(1), 9);
  for (int g = 0; g < 2; ++g) {
    const std::vector<int> order = cholesky.unknowns_of(g);
    const int begin = 6 * g;
    const Eigen::MatrixXd inner = example.dense.block(begin, begin, 3, 3),
                          cross = example.dense.block(begin + 3, begin, 3, 3);
    const Eigen::MatrixXd schur =
        example.dense.block(begin + 3, begin + 3, 3, 3) - cross * inner.inverse() * cross.transpose();
    std::vector<double> block;
    cholesky.copy_block(g, block);
    const Eigen::Map<const Eigen::MatrixXd> triangle(block.data(), 3, 3);
    const Eigen::MatrixXd product = triangle * triangle.transpose();
    for (int i = 0; i < 3; ++i)
      for (int j = 0; j < 3; ++j)
        EXPECT_NEAR(product(i, j), schur(order[i] - begin - 3, order[j] - begin - 3), 1e-13) << g << i << j;
  }
}

// Against the factor in double precision, on a grid whose supernodes are of many widths: 40 × 25 nodes, five-point
// Laplacian and a tenth of its diagonal. Single precision has 6e-8; rounding grows with some tens of operations a row.
TEST(SparseCholesky, SinglePrecisionIsCloseToDouble) {
  constexpr int kWide = 40, kHigh = 25, kSize = kWide * kHigh;
  std::vector<std::vector<int>> groups;
  for (int y = 0; y < kHigh; ++y)
    for (int x = 0; x < kWide; ++x) {
      if (x + 1 < kWide) groups.push_back({y * kWide + x, y * kWide + x + 1});
      if (y + 1 < kHigh) groups.push_back({y * kWide + x, (y + 1) * kWide + x});
    }
  const LowerPattern pattern = build_pattern(kSize, groups);
  std::vector<double> values, right(kSize), y(kSize), solution(kSize);
  for (int c = 0; c < kSize; ++c)
    for (int k = pattern.column_start[c]; k < pattern.column_start[c + 1]; ++k)
      values.push_back(pattern.row[k] == c ? 4.4 : -1);
  SparseCholesky cholesky(pattern);
  for (const double scale : {1.0, 3.0}) {  // the second factor must replace the first
    for (double& value : values) value *= scale;
    ASSERT_TRUE(cholesky.factorise(values));
    for (int i = 0; i < kSize; ++i) right[i] = std::sin(0.7 * i);
    cholesky.forward(right, y);
    std::vector<float> single(kSize);
    for (int i = 0; i < kSize; ++i) single[i] = static_cast<float>(right[cholesky.order()[i]]);
    cholesky.in_single_precision().forward(single.data());
    for (int i = 0; i < kSize; ++i) EXPECT_NEAR(single[i], y[i], 5e-6) << i;
    cholesky.in_single_precision().backward(single.data());
    cholesky.backward(y, solution);
    for (int i = 0; i < kSize; ++i) EXPECT_NEAR(single[i], solution[cholesky.order()[i]], 5e-6) << i;
  }
}

TEST(SparseCholesky, SaysThatAMatrixIsNotPositiveDefinite) {
  Example example;
  example.values[0] = -1;  // the first diagonal entry
  SparseCholesky cholesky(example.pattern, example.last);
  EXPECT_FALSE(cholesky.factorise(example.values));
}

TEST(SparseCholesky, MultipliesByTheWholeSymmetricMatrix) {
  const Example example;
  std::vector<double> x, y(12, 0.0);
  for (int i = 0; i < 12; ++i) x.push_back(1.0 / (i + 1));
  multiply_symmetric(example.pattern, example.values, x, y);
  const Eigen::VectorXd expected = example.dense * Eigen::Map<Eigen::VectorXd>(x.data(), 12);
  for (int i = 0; i < 12; ++i) EXPECT_NEAR(y[i], expected[i], 1e-14) << i;
}

}  // namespace
}  // namespace polepitch
