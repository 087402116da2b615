// A synchronous machine with field winding that is stepped in time: what the studies sudden-short-circuit and pull-out
// share. Its field winding is fed with the voltage that its current needs in the steady state.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "cases/load_point.h"
#include "cases/stepping.h"

namespace polepitch {

struct SteppedSynchronous {
  LoadPointRequest point;                                 // voltage, and the load where one is asked for
  double omega = 0;                                       // rad/s
  double field_resistance = 0, field_end_inductance = 0;  // ohm, H
  double rotor_angle = 0;                                 // rad, mechanical, at the start
  int steps_per_period = 100;                             // of the largest step
  double tolerance = 1e-4;
  BarRing ring;
  StatorCircuit stator;  // without sources
  double period() const;
};

/// load_point_parameters() and field_resistance, field_end_inductance, rotor_angle, steps_per_period, step_tolerance.
std::vector<Parameter> stepped_synchronous_parameters();

/// Throws InputError where the study does not fit the machine.
SteppedSynchronous read_stepped_synchronous(const Case& kase, const Section& section, const Block& study);

/// The steady state from which the steps start, and its field at the rotor's start angle.
struct SynchronousStart {
  SteadyPoint point;
  StaticSolution field;
  Excitation excitation;
};
SynchronousStart synchronous_start(StudyContext& context, const SteppedSynchronous& machine, const SteadyPoint& point);

TransientField stepped_field(const StudyContext& context, const SteppedSynchronous& machine);

/// Circuits with the stator behind these sources (none: shorted); the field winding at its voltage.
Circuits circuits_of(const StudyContext& context, const SteppedSynchronous& machine, double field_current,
                     std::function<std::vector<double>(double)> source);

/// Line sources that hold the voltage of the steady state: U at the load angle from the q-axis.
std::function<std::vector<double>(double)> terminal_source(const StudyContext& context,
                                                           const SteppedSynchronous& machine, const SteadyPoint& point);

/// Columns time, rotor_angle, speed, torque, currents out of the terminal (generator) or into it, field current,
/// source power, damper loss; and what fills them.
ResultCurve synchronous_log(const StudyContext& context, const std::string& title);
std::vector<double> synchronous_row(const StudyContext& context, double sense, const TransientField& field,
                                    const TransientState& state);

}  // namespace polepitch
