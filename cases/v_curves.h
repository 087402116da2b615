// V-curves: armature current against field current at constant terminal voltage and constant active power, from
// over-excited to the limit of stability or of the field.
#pragma once

#include "cases/operating_chart.h"
#include "post/construction.h"

namespace polepitch {

struct VCurvePoint {
  SteadyPoint point;
  double reactive = 0;       // var, inductive into the terminal positive
  double synchronising = 0;  // N m/rad
  bool stable() const { return synchronising > 0; }
};

struct VCurve {
  double power = 0;                 // W, of the operation's reference
  std::vector<VCurvePoint> points;  // from over-excited on; the last one may be unstable
  bool ends_unstable() const { return !points.empty() && !points.back().stable(); }
};

/// `largest` [VA] bounds the apparent power; `count` (odd) reactive powers from it over-excited, through 0, to it
/// under-excited. A curve ends after its first unstable point, before a negative field current, and where no steady
/// state is found. Points past the largest field current are left out.
VCurve v_curve(SteadyState& state, const ChartRequest& request, double power, double largest, int count,
               int pole_pairs);

/// Where the curve meets the limit of stability, between its last two points, by the synchronising torque's zero; its
/// last point where it does not.
struct StabilityEnd {
  double reactive = 0, field_current = 0;  // var as in VCurvePoint; A
};
StabilityEnd stability_end(const VCurve& curve);

/// r.m.s. armature current over field current, the locus of unity power factor and the limit of stability. Between the
/// points the field current follows the reactive power by a monotone curve; `current_per_va`: r.m.s. current of one
/// volt-ampere.
Construction v_curve_chart(const std::vector<VCurve>& curves, double current_per_va, double rated_active,
                           double rated_current);

}  // namespace polepitch
