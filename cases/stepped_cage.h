// A machine with a cage or a wound rotor that is stepped in time on its mains: what the studies steady-state and run-up
// share.
#pragma once

#include <memory>
#include <vector>

#include "cases/cage_supply.h"
#include "cases/stepping.h"

namespace polepitch {

struct SteppedCage {
  CageSupply supply;
  StatorCircuit stator;
  RotorCircuit rotor;         // of a wound one, with what stands between its slip rings
  double rings_shorted = 0;   // s: when they are joined without resistance; 0: never
  double phase_at_start = 0;  // rad, of phase A's voltage
  int steps_per_period = 200;
  double period() const;   // s, of the supply
  double synchronous = 0;  // rad/s
  bool wound = false;
  double outside = 0;  // ohm per phase, between the slip rings
  /// Resistance of a rotor phase at a time, with what stands outside of it.
  double rotor_resistance(double time) const;
};

/// voltage, phase_resistance, external_resistance, frequency, line_resistance, line_inductance, neutral,
/// steps_per_period.
std::vector<Parameter> stepped_cage_parameters();

/// Throws InputError where the study does not fit the machine.
SteppedCage read_stepped_cage(const Case& kase, const Section& section, const Block& study);

/// Line sources whose phase A winding has the voltage U cos(ωt + phase).
std::function<std::vector<double>(double)> line_source(const Section& section, const SteppedCage& cage, double phase);

/// The field of this mesh. The context must outlive it.
TransientField stepped_field(const StudyContext& context, const SteppedCage& cage);

/// Columns time, rotor_angle, speed, torque, stator currents, power, loss of the rotor's conductors, currents of a
/// wound rotor; and what fills them.
ResultCurve stepped_log(const StudyContext& context, const std::string& title);
std::vector<double> stepped_row(const StudyContext& context, const SteppedCage& cage, const TransientField& field,
                                const TransientState& state);

/// As many equally spaced instants from `begin` to `end` as the case wants fields.
std::vector<double> frame_times(const StudyContext& context, double begin, double end);
void add_frames(StudyResult& result, const StudyContext& context, const TransientField& field,
                const SteppingRecord& record);

/// What a mesh is adapted to: locked rotor and rated speed.
std::vector<Excitation> stepped_states(const Case& kase, const Section& section, const Block& study);

/// Warnings about rings and phases without resistance, and of a skew that is left out.
void warn_stepped(StudyResult& result, const StudyContext& context, const SteppedCage& cage);

/// Source less heat, store and shaft, over their magnitudes.
double relative_imbalance(const SteppingTotals& totals);

}  // namespace polepitch
