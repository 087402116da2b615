// What the charts over many load points at one terminal voltage share (V-curves, capability): how they are asked for,
// and how stable a point is.
#pragma once

#include "cases/load_point.h"

namespace polepitch {

struct ChartRequest {
  LoadPointRequest at;        // operation, voltage, largest field current, resistance, positions
  double rated_apparent = 0;  // VA
  double rated_active = 0;    // W
  double rated_power_factor = 1;
  /// +1 where powers into the terminal count as positive, −1 of a generator.
  double sense() const { return at.generator ? -1 : 1; }
};

/// operation, voltage, largest_field_current, phase_resistance, positions: those of a load point.
std::vector<Parameter> chart_parameters();
/// Throws InputError for a machine without stator winding, rating or field winding, or with a cage.
ChartRequest read_chart(const Case& kase, const Section& section, const Block& study);

/// ∂T/∂δ at held terminal voltage and field current [N m/rad, whole machine], from the field's incremental inductances
/// at the state's last point: positive where the machine holds its load angle.
double synchronising_torque(SteadyState& state, const SteadyPoint& point, int pole_pairs);

/// Three unequal positions at the rated load point: what a mesh for a chart is adapted to.
std::vector<Excitation> chart_states(const Case& kase, const Section& section, const Block& study);

}  // namespace polepitch
