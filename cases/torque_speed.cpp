#include "cases/torque_speed.h"

#include <algorithm>
#include <cmath>

#include "post/cubic_spline.h"

namespace polepitch {

double DrivePoint::efficiency() const {
  return shaft_power() > 0 ? shaft_power() / input_power() : 0;
}

double DrivePoint::power_factor(int phases) const {
  const double apparent = 0.5 * phases * at.voltage * at.current();
  return apparent > 0 ? input_power() / apparent : 0;
}

Drive::Drive(const FluxMapSurface& map, const IronLossMap& iron, const TorqueSpeedRequest& request)
    : map_(map), iron_(iron), request_(request), operation_(map, request.limits, request.magnets) {}

DrivePoint Drive::with_losses(const LimitedPoint& point, double speed) const {
  const int phases = map_.map().phases, pole_pairs = map_.map().pole_pairs;
  DrivePoint d{speed, point};
  d.copper = 0.5 * phases * request_.limits.resistance * point.current() * point.current();
  // At rest the hysteresis torque is left, the limit of loss over speed.
  const double moving = std::max(speed, 1e-6 * request_.largest_speed);
  const double loss = iron_.at(point.i_d, point.i_q, pole_pairs * moving / request_.rated_omega).total();
  d.iron = loss * speed / moving;
  d.shaft_torque = point.torque - loss / moving;
  return d;
}

std::optional<DrivePoint> Drive::most_torque(double speed) const {
  const std::optional<LimitedPoint> p = operation_.most_torque(map_.map().pole_pairs * speed);
  if (!p) return {};
  return with_losses(*p, speed);
}

std::vector<DrivePoint> Drive::column(double speed, const std::vector<TorqueLine>& lines) const {
  std::vector<DrivePoint> points;
  const std::optional<DrivePoint> most = most_torque(speed);
  if (!most) return points;
  for (const TorqueLine& line : lines) {
    if (line.torque >= most->at.torque) break;
    const std::optional<LimitedPoint> p = operation_.least_current(line, map_.map().pole_pairs * speed);
    if (!p) continue;
    const DrivePoint d = with_losses(*p, speed);
    if (points.empty() || d.shaft_torque > points.back().shaft_torque) points.push_back(d);
  }
  if (points.empty() || most->shaft_torque > points.back().shaft_torque) points.push_back(*most);
  return points;
}

EfficiencyMap efficiency_map(const std::vector<std::vector<DrivePoint>>& columns, size_t rows) {
  EfficiencyMap map;
  map.rows = rows;
  std::vector<const std::vector<DrivePoint>*> kept;
  for (const std::vector<DrivePoint>& column : columns)
    if (column.size() > 1 && column.back().shaft_torque > 0) kept.push_back(&column);
  map.torque.resize(rows * kept.size());
  map.efficiency.resize(rows * kept.size());
  for (size_t i = 0; i < kept.size(); ++i) {
    std::vector<double> torque, loss;
    for (const DrivePoint& d : *kept[i]) {
      torque.push_back(d.shaft_torque);
      loss.push_back(d.copper + d.iron);
    }
    const double speed = kept[i]->front().speed;
    map.speeds.push_back(speed);
    const std::vector<double> slopes = spline_slopes(torque, loss);
    for (size_t j = 0; j < rows; ++j) {
      const double t = torque.back() * static_cast<double>(j) / static_cast<double>(rows - 1);
      const SplineShares s = spline_shares(torque, t);
      double sum = 0;
      for (size_t k = 0; k < 2; ++k) sum += s.value[k] * loss[s.at[k]] + s.slope[k] * slopes[s.at[k]];
      const double power = t * speed;
      map.torque[j * kept.size() + i] = t;
      map.efficiency[j * kept.size() + i] = power > 0 ? power / (power + sum) : 0;
    }
  }
  return map;
}

}  // namespace polepitch
