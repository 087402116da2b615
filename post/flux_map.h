// Flux linkages and torque over currents in the rotor's dq frame, on a tensor grid of means over rotor positions, and
// what lies between its points: a cubic spline along each axis (not-a-knot ends, fewer points: parabola, line,
// constant). Amplitude-invariant dq, q leads d by 90° electrical (IEEE Std 1110); motoring current into the terminal.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace polepitch {

struct FluxMap {
  int phases = 3, pole_pairs = 1;
  std::vector<double> i_d, i_q;  // A, peak, ascending
  std::vector<double> i_f;       // A, ascending; {0} where the rotor has no field winding
  // One value a grid point, at(d, q, f); whole machine.
  std::vector<double> lambda_d, lambda_q;  // Wb, peak, end winding included
  std::vector<double> lambda_f;            // Wb; zeros without field winding
  std::vector<double> torque;              // N m, on the rotor, of the air gap

  size_t size() const { return i_d.size() * i_q.size() * i_f.size(); }
  size_t at(size_t d, size_t q, size_t f) const { return (f * i_q.size() + q) * i_d.size() + d; }
};

/// A map as a study hands it over.
struct FluxMapResult {
  std::string study;
  FluxMap map;
  int positions = 0;  // rotor positions in the means
  // Largest difference between the map and the field at currents off the grid, over the map's largest linkage (of
  // lambda_d and lambda_q; of lambda_f over its own) and over its largest torque.
  double linkage_error = 0, torque_error = 0;
};

/// Between the grid's points.
struct FluxMapPoint {
  double lambda_d = 0, lambda_q = 0, lambda_f = 0, torque = 0;
  double l_dd = 0, l_dq = 0, l_qd = 0, l_qq = 0;  // H, ∂λ/∂i, incremental
};

struct FluxMapCurrents {
  double i_d = 0, i_q = 0;  // A, peak
};

/// The spline made ready for many look-ups; keeps a copy of the map. Beyond the grid it goes straight on. Throws
/// std::logic_error where the lists of the map do not go together.
class FluxMapSurface {
 public:
  explicit FluxMapSurface(const FluxMap& map);
  const FluxMap& map() const { return map_; }

  FluxMapPoint at(double i_d, double i_q, double i_f = 0) const;
  /// The currents at which the map has these linkages (Newton's method from the nearest grid point, or from `start`);
  /// none where it does not get there.
  std::optional<FluxMapCurrents> currents(double lambda_d, double lambda_q, double i_f = 0,
                                          const FluxMapCurrents* start = nullptr) const;
  /// Whether the currents lie inside the grid.
  bool covers(double i_d, double i_q) const;

 private:
  /// Values at the grid's points and their derivatives: bit 0 of the index stands for one with i_d, 1 i_q, 2 i_f.
  using Table = std::array<std::vector<double>, 8>;
  Table table(const std::vector<double>& values) const;
  std::vector<double> slopes(const std::vector<double>& values, size_t axis) const;
  FluxMapCurrents nearest(double lambda_d, double lambda_q, double i_f) const;

  FluxMap map_;
  std::array<Table, 4> tables_;  // λ_d, λ_q, λ_f, torque
  double scale_ = 0;             // Wb, largest linkage
};

/// One look-up, and its inverse; for many, make a FluxMapSurface.
FluxMapPoint look_up(const FluxMap& map, double i_d, double i_q, double i_f = 0);
std::optional<FluxMapCurrents> currents_of_linkages(const FluxMap& map, double lambda_d, double lambda_q,
                                                    double i_f = 0);

}  // namespace polepitch
