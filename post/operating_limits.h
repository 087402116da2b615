// Operation of a magnet or reluctance machine between limits of current and terminal voltage, on its flux map: most
// torque per ampere, field weakening, least current for a torque (theory.md, eqs. 46–48). Steady state at one field
// current; dq peak values, current into the terminal, motoring.
#pragma once

#include <optional>
#include <vector>

#include "post/flux_map.h"

namespace polepitch {

struct OperatingLimits {
  double current = 0;        // A, peak, of a phase
  double voltage = 0;        // V, peak, phase
  double resistance = 0;     // ohm per phase
  double field_current = 0;  // A
};

struct LimitedPoint {
  double i_d = 0, i_q = 0;            // A
  double lambda_d = 0, lambda_q = 0;  // Wb
  double torque = 0;                  // N m, of the air gap
  double voltage = 0;                 // V, peak, at the speed asked for; 0 where none was
  double u_d = 0, u_q = 0;            // V

  double current() const;  // A, peak
  double angle() const;    // rad, electrical, of the current ahead of the d-axis
};

/// The currents of one torque, over i_d, at rest: where the limit of current reaches it.
struct TorqueLine {
  double torque = 0;
  std::vector<LimitedPoint> points;
};

class LimitedOperation {
 public:
  /// Keeps a reference to the map, which has to hold the whole sector of currents up to the limit: the quadrant between
  /// −d and q with magnets (`magnets`), between d and q without.
  LimitedOperation(const FluxMapSurface& map, const OperatingLimits& limits, bool magnets);

  const OperatingLimits& limits() const { return limits_; }
  /// Voltages at ω [rad/s, electrical] and these currents: u = R i + jωλ.
  LimitedPoint at(double i_d, double i_q, double omega) const;

  /// The current angle of most torque at this current's amplitude; no voltage limit.
  LimitedPoint most_torque_per_ampere(double current) const;
  /// Most torque at ω inside both limits; none where no current keeps the voltage.
  std::optional<LimitedPoint> most_torque(double omega) const;
  /// The least current that makes the torque at ω inside both limits; none where it is out of reach.
  std::optional<LimitedPoint> least_current(double torque, double omega) const;
  /// The same at many speeds: what does not depend on the speed is found once.
  TorqueLine torque_line(double torque) const;
  std::optional<LimitedPoint> least_current(const TorqueLine& line, double omega) const;
  /// ω up to which the current limit alone bounds the torque: where most torque per ampere at the limit meets the
  /// voltage; 0 where it does so at rest.
  double base_omega() const;

 private:
  LimitedPoint at_speed(LimitedPoint point, double omega) const;
  LimitedPoint polar(double current, double angle, double omega) const;
  bool allowed(const LimitedPoint& point) const { return point.voltage <= limits_.voltage * (1 + 1e-9); }
  std::optional<LimitedPoint> farthest(double angle, double omega) const;
  std::optional<LimitedPoint> with_torque(double torque, double i_d) const;

  const FluxMapSurface& map_;
  OperatingLimits limits_;
  double i_d_end() const { return last_ > 2 ? -limits_.current : limits_.current; }
  double first_ = 0, last_ = 0;  // rad: the sector of current angles
};

}  // namespace polepitch
