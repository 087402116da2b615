// The characteristics of a synchronous machine with field winding: points solved on the field, and more of them where a
// number is read. Voltages and currents of the armature are r.m.s. per phase.
#pragma once

#include "cases/steady_state.h"
#include "post/characteristics.h"

namespace polepitch {

struct Rated {
  double voltage = 0, current = 0;  // V, A, r.m.s. per phase
};
Rated rated_of(const Case& kase);

class NoLoadCurve {
 public:
  /// `points` field currents up to about `largest_voltage` [V], closer together where the curve is straight and bends
  /// than past its knee; the end is rounded to two digits.
  NoLoadCurve(SteadyState& steady, int points, double largest_voltage);
  const MonotoneCurve& curve() const { return curve_; }
  const AirGapLine& line() const { return line_; }
  bool reaches(double voltage) const { return voltage <= curve_.y().back(); }
  /// Field current of a voltage that the curve reaches; solved there, not interpolated.
  double field_current(double voltage);
  /// Solves at this field current as well, and takes the point into the curve.
  double solve_at(double field_current);

 private:
  struct Span {
    double straight = 0, end = 0;  // A: field currents of the largest voltage on the unsaturated line, on the curve
  };
  Span span_of(double largest_voltage);
  void find_line();

  SteadyState& steady_;
  MonotoneCurve curve_;
  AirGapLine line_;
};

/// Sustained short circuit: armature current over field current, to `largest` times rated current; one point is rated
/// current, at the field current i_fk.
struct ShortCircuitCurve {
  MonotoneCurve curve;
  double i_fk = 0;  // A
  SteadyPoint rated;
};
ShortCircuitCurve short_circuit_curve(SteadyState& steady, const Rated& rated, int points, double largest);

/// Rated current at zero power factor, over-excited: terminal voltage over field current, from the short circuit to
/// `largest` times rated voltage; one point is rated voltage, at the field current i_fa.
struct ZeroPowerFactorCurve {
  MonotoneCurve curve;
  double i_fa = 0;      // A; 0 where rated voltage was not reached
  std::string stopped;  // why the curve ends early; empty when it does not
};
ZeroPowerFactorCurve zero_power_factor_curve(SteadyState& steady, const Rated& rated, const ShortCircuitCurve& start,
                                             int points, double largest);

}  // namespace polepitch
