// What the studies open-circuit, short-circuit, zero-power-factor and characteristics share: their parameters, and the
// parts of which the last is made.
#pragma once

#include "cases/characteristics.h"
#include "cases/study_tools.h"
#include "post/characteristic_constructions.h"

namespace polepitch {

struct CharacteristicPlan {
  int positions = 12, points = 12;
  double largest_voltage = 1.3, largest_current = 1.2;  // of rated
  bool resistance = true;
  int emf_positions = 40, cogging_angles = 24;
  double field_current = 0;  // A, of waveform and cogging; 0: that of rated voltage
};

std::vector<Parameter> open_circuit_parameters();
std::vector<Parameter> short_circuit_parameters();
std::vector<Parameter> zero_power_factor_parameters();
std::vector<Parameter> characteristics_parameters();  // all of them, each once

CharacteristicPlan read_characteristic_plan(const Block& study);

/// Throws InputError: these studies need a stator winding and a field winding or magnets, at synchronous speed.
void check_characteristics(const Section& section, const Block& study, bool field_winding_needed);

/// Fields without stator current and with rated current against the pole, at field currents of a linear estimate; what
/// a mesh is adapted to. `loaded` counts the second kind in.
std::vector<Excitation> characteristic_states(const Case& kase, const Section& section, const Block& study,
                                              bool loaded);

/// Parts of a run: each reports its numbers and curves under the context's name.
struct CharacteristicRun {
  CharacteristicRun(StudyContext& study_context, const CharacteristicPlan& study_plan);

  /// The no-load curve with its air-gap line and saturation factors; EMF and cogging at rated voltage or, without field
  /// winding, of the magnets.
  void open_circuit(double from, double to);
  void short_circuit();
  /// After short_circuit().
  void zero_power_factor();
  /// After all three.
  void constructions();

  StudyContext& context;
  CharacteristicPlan plan;
  Rated rated;
  SteadyState steady;
  StudyResult result;
  std::optional<NoLoadCurve> no_load;
  ShortCircuitCurve short_curve;
  ZeroPowerFactorCurve zero_curve;
};

}  // namespace polepitch
