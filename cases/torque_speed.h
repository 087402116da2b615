// A magnet or reluctance machine over speed: what the study torque-speed is asked, the points it finds on the flux map
// with copper and iron loss, and their curves.
#pragma once

#include <optional>
#include <vector>

#include "cases/field_iron_loss.h"
#include "post/operating_limits.h"

namespace polepitch {

struct TorqueSpeedRequest {
  OperatingLimits limits;
  double largest_speed = 0;  // rad/s, mechanical
  double rated_omega = 0;    // rad/s, electrical: of the iron-loss map
  int speeds = 0, torques = 0;
  bool magnets = true;
};

/// One steady state with its losses. Iron loss is taken from the shaft; it does not act back on the field.
struct DrivePoint {
  double speed = 0;             // rad/s, mechanical
  LimitedPoint at;              // at.torque: of the air gap
  double copper = 0, iron = 0;  // W
  double shaft_torque = 0;      // N m

  double shaft_power() const { return speed * shaft_torque; }
  double input_power() const { return speed * at.torque + copper; }
  /// Shaft power over input power; 0 where no power leaves the shaft.
  double efficiency() const;
  double power_factor(int phases) const;
};

class Drive {
 public:
  Drive(const FluxMapSurface& map, const IronLossMap& iron, const TorqueSpeedRequest& request);
  const LimitedOperation& operation() const { return operation_; }
  DrivePoint with_losses(const LimitedPoint& point, double speed) const;
  /// Most torque inside the limits; none past the largest speed.
  std::optional<DrivePoint> most_torque(double speed) const;

  /// Least currents at one speed, rising in shaft torque, the most torque the last; empty past the largest speed.
  std::vector<DrivePoint> column(double speed, const std::vector<TorqueLine>& lines) const;

 private:
  const FluxMapSurface& map_;
  const IronLossMap& iron_;
  TorqueSpeedRequest request_;
  LimitedOperation operation_;
};

/// Efficiency over speed and shaft torque, from 0 to the most at each speed: losses between a column's points by a
/// spline. Columns without points are left out.
struct EfficiencyMap {
  std::vector<double> speeds;              // rad/s
  std::vector<double> torque, efficiency;  // N m, 1; `rows` of each, speeds run fastest
  size_t rows = 0;
};
EfficiencyMap efficiency_map(const std::vector<std::vector<DrivePoint>>& columns, size_t rows);

}  // namespace polepitch
