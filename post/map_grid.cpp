#include "post/map_grid.h"

#include <algorithm>
#include <cmath>

namespace polepitch {
namespace {

std::optional<size_t> index_of(const std::vector<double>& axis, double value) {
  const double span = std::max(axis.back() - axis.front(), std::abs(axis.front()));
  for (size_t i = 0; i < axis.size(); ++i)
    if (std::abs(axis[i] - value) <= 1e-12 * span) return i;
  return {};
}

double largest(const std::vector<double>& values) {
  double most = 0;
  for (double v : values) most = std::max(most, std::abs(v));
  return most;
}

/// What differences of a map's quantities are measured by.
struct Scales {
  explicit Scales(const FluxMap& map)
      : linkage(std::max(largest(map.lambda_d), largest(map.lambda_q))),
        field_linkage(largest(map.lambda_f)),
        torque(largest(map.torque)) {}
  double linkage, field_linkage, torque;

  MapError of(const MapValues& truth, const FluxMapPoint& p) const {
    const auto over = [](double difference, double scale) { return scale > 0 ? std::abs(difference) / scale : 0; };
    return {std::max({over(truth.lambda_d - p.lambda_d, linkage), over(truth.lambda_q - p.lambda_q, linkage),
                      over(truth.lambda_f - p.lambda_f, field_linkage)}),
            over(truth.torque - p.torque, torque)};
  }
};

std::vector<double>& axis_of(MapGrid& grid, size_t axis) {
  return axis == 0 ? grid.i_d : axis == 1 ? grid.i_q : grid.i_f;
}

/// The map with the lines of one axis whose number has this parity, and its ends.
FluxMap every_second(const FluxMap& map, size_t axis, size_t parity) {
  MapGrid grid = grid_of(map);
  std::vector<double>& lines = axis_of(grid, axis);
  std::vector<double> kept;
  for (size_t i = 0; i < lines.size(); ++i)
    if (i % 2 == parity || i == 0 || i + 1 == lines.size()) kept.push_back(lines[i]);
  lines = kept;
  FluxMap thin = zero_map(grid);
  for (size_t i = 0; i < thin.size(); ++i) put(thin, i, values_at(map, *index_in(map, currents_at(thin, i))));
  return thin;
}

std::vector<double> halved(const std::vector<double>& lines, const std::vector<double>& errors, double limit) {
  std::vector<double> finer{lines.front()};
  for (size_t i = 1; i < lines.size(); ++i) {
    if (std::max(errors[i - 1], errors[i]) > limit) finer.push_back(0.5 * (lines[i - 1] + lines[i]));
    finer.push_back(lines[i]);
  }
  return finer;
}

}  // namespace

std::vector<double> equal_lines(double first, double last, int count) {
  std::vector<double> lines;
  for (int k = 0; k < count; ++k) lines.push_back(first + (last - first) * k / (count - 1));
  for (double& line : lines)
    if (std::abs(line) < 1e-12 * (last - first)) line = 0;
  return lines;
}

MapGrid grid_of(const FluxMap& map) {
  return {map.i_d, map.i_q, map.i_f};
}

MapCurrents currents_at(const FluxMap& map, size_t index) {
  const size_t d = map.i_d.size(), q = map.i_q.size();
  return {map.i_d[index % d], map.i_q[index / d % q], map.i_f[index / (d * q)]};
}

std::optional<size_t> index_in(const FluxMap& map, const MapCurrents& i) {
  const std::optional<size_t> d = index_of(map.i_d, i[0]), q = index_of(map.i_q, i[1]), f = index_of(map.i_f, i[2]);
  if (!d || !q || !f) return {};
  return map.at(*d, *q, *f);
}

MapValues values_at(const FluxMap& map, size_t k) {
  return {map.lambda_d[k], map.lambda_q[k], map.lambda_f[k], map.torque[k]};
}

void put(FluxMap& map, size_t index, const MapValues& values) {
  map.lambda_d[index] = values.lambda_d;
  map.lambda_q[index] = values.lambda_q;
  map.lambda_f[index] = values.lambda_f;
  map.torque[index] = values.torque;
}

FluxMap zero_map(const MapGrid& grid) {
  FluxMap map;
  map.i_d = grid.i_d;
  map.i_q = grid.i_q;
  map.i_f = grid.i_f;
  for (std::vector<double>* values : {&map.lambda_d, &map.lambda_q, &map.lambda_f, &map.torque})
    values->assign(map.size(), 0.0);
  return map;
}

MapError map_error(const FluxMap& map, const std::vector<MapCurrents>& points, const std::vector<MapValues>& truth) {
  const FluxMapSurface surface(map);
  const Scales scales(map);
  MapError error;
  for (size_t i = 0; i < points.size(); ++i) {
    const MapError here = scales.of(truth[i], surface.at(points[i][0], points[i][1], points[i][2]));
    error = {std::max(error.linkage, here.linkage), std::max(error.torque, here.torque)};
  }
  return error;
}

std::vector<double> line_errors(const FluxMap& map, size_t axis) {
  MapGrid grid = grid_of(map);
  const std::vector<double>& lines = axis_of(grid, axis);
  if (lines.size() < 3) return std::vector<double>(lines.size(), lines.size() == 2 ? 1 : 0);
  std::vector<double> errors(lines.size(), 0.0);
  const Scales scales(map);
  for (size_t parity : {0u, 1u}) {
    const FluxMapSurface thin(every_second(map, axis, parity));
    for (size_t k = 0; k < map.size(); ++k) {
      const MapCurrents i = currents_at(map, k);
      const size_t line = *index_of(lines, i[axis]);
      if (line % 2 == parity) continue;
      errors[line] = std::max(errors[line], scales.of(values_at(map, k), thin.at(i[0], i[1], i[2])).worst());
    }
  }
  errors.front() = errors.back() = 0;
  return errors;
}

MapGrid finer_grid(const FluxMap& map, double excess) {
  std::array<std::vector<double>, 3> errors;
  double most = 0;
  for (size_t axis = 0; axis < 3; ++axis) {
    errors[axis] = line_errors(map, axis);
    most = std::max(most, largest(errors[axis]));
  }
  const double limit = most / std::max(1.5, excess);
  MapGrid grid = grid_of(map);
  for (size_t axis = 0; axis < 3; ++axis) {
    std::vector<double>& lines = axis_of(grid, axis);
    lines = halved(lines, errors[axis], limit);
  }
  return grid;
}

}  // namespace polepitch
