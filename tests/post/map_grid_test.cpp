// Expected: smooth functions in closed form whose bends lie where they were put.
#include "post/map_grid.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

MapValues truth(const MapCurrents& i) {
  const double bend = std::tanh(i[0] / 5);  // within some amperes of i_d = 0
  return {bend + 0.01 * i[1], 0.02 * i[1], 0, i[1] * bend};
}

FluxMap sampled(const MapGrid& grid) {
  FluxMap map = zero_map(grid);
  for (size_t k = 0; k < map.size(); ++k) put(map, k, truth(currents_at(map, k)));
  return map;
}

MapGrid equal_grid(int count) {
  MapGrid grid;
  for (int k = 0; k < count; ++k) grid.i_d.push_back(-40 + 80.0 * k / (count - 1));
  grid.i_q = {-10, 0, 10};
  grid.i_f = {0};
  return grid;
}

MapError error_of(const FluxMap& map) {
  std::vector<MapCurrents> points;
  std::vector<MapValues> values;
  for (double d = -39; d < 40; d += 0.37) points.push_back({d, 4, 0});
  for (const MapCurrents& p : points) values.push_back(truth(p));
  return map_error(map, points, values);
}

TEST(MapGrid, PointsAndIndicesGoTogether) {
  const FluxMap map = sampled(equal_grid(5));
  for (size_t k = 0; k < map.size(); ++k) EXPECT_EQ(index_in(map, currents_at(map, k)).value(), k);
  EXPECT_FALSE(index_in(map, {1, 0, 0}).has_value());
  EXPECT_EQ(values_at(map, 2).torque, map.torque[2]);
}

TEST(MapGrid, LinesTellWhereTheMapBends) {
  const std::vector<double> along_d = line_errors(sampled(equal_grid(17)), 0);
  const auto worst = std::max_element(along_d.begin(), along_d.end()) - along_d.begin();
  EXPECT_NEAR(static_cast<double>(worst), 8, 1);  // beside i_d = 0, where by symmetry nothing is missed
  EXPECT_LT(along_d[2], 0.1 * along_d[7]);
  const std::vector<double> along_q = line_errors(sampled(equal_grid(17)), 1);
  EXPECT_LT(*std::max_element(along_q.begin(), along_q.end()), 1e-12);  // straight in i_q
  EXPECT_EQ(line_errors(sampled({{0}, {0, 1}, {0}}), 1), (std::vector<double>{1, 1}));
  EXPECT_EQ(line_errors(sampled({{0}, {0, 1}, {0}}), 0), (std::vector<double>{0}));
}

TEST(MapGrid, LinesAreAddedWhereItBendsUntilItHolds) {
  MapGrid grid = equal_grid(9);
  for (int round = 0; round < 8 && error_of(sampled(grid)).worst() > 1e-3; ++round)
    grid = finer_grid(sampled(grid), error_of(sampled(grid)).worst() / 1e-3);
  EXPECT_LT(error_of(sampled(grid)).worst(), 1e-3);
  EXPECT_EQ(grid.i_q.size(), 3u);
  // Halving all of its steps comes from 33 lines, which are not enough, to 65.
  EXPECT_GT(error_of(sampled(equal_grid(33))).worst(), 1e-3);
  EXPECT_LT(grid.i_d.size(), 40u);
}

}  // namespace
}  // namespace polepitch
