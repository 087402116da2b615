// A machine's axes with their rotor circuits, read back from the parameters of a frequency response.
#pragma once

#include "post/axis_circuit.h"
#include "post/circuit_model.h"

namespace polepitch {

/// On the stator's side of the reciprocal base; the first circuit of the d-axis is the field winding where `wound`.
struct DynamicCircuit {
  AxisCircuit d, q;
  bool wound = false;
  double field_ratio = 0;  // field base current over base current: i_f = ratio × its current on the stator's side
};

/// Whether a state has what dynamic_circuit needs: a base, X_l and the synchronous reactances of a frequency response.
bool is_dynamic(const CircuitModel& model, const CircuitState& state);
DynamicCircuit dynamic_circuit(const CircuitModel& model, const CircuitState& state);

/// The first such state; null where there is none.
const CircuitState* first_dynamic(const CircuitModel& model);

}  // namespace polepitch
