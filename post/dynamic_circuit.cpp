#include "post/dynamic_circuit.h"

#include <cmath>

namespace polepitch {
namespace {

/// Adds the circuit of a reactance and a resistance where both stand in the state.
void add(const CircuitState& state, double omega, const char* x, const char* r, AxisCircuit& axis) {
  if (state.find(x) && state.find(r)) axis.rotor.push_back({state.value(x) / omega, state.value(r)});
}

}  // namespace

bool is_dynamic(const CircuitModel& model, const CircuitState& state) {
  return model.base && state.study.rfind("frequency-response", 0) == 0 && state.find("X_l") &&
         state.find("X_d_incremental") && state.find("X_q_incremental");
}

DynamicCircuit dynamic_circuit(const CircuitModel& model, const CircuitState& state) {
  const double omega = model.base->omega, leakage = state.value("X_l") / omega;
  DynamicCircuit c;
  c.d = {leakage, state.value("X_d_incremental") / omega - leakage, 0, {}};
  c.q = {leakage, state.value("X_q_incremental") / omega - leakage, 0, {}};
  if (state.find("X_f1d")) c.d.series = state.value("X_f1d") / omega;
  add(state, omega, "X_fd", "R_fd", c.d);
  c.wound = !c.d.rotor.empty() && state.find("field_base_ratio");
  if (c.wound) c.field_ratio = state.value("field_base_ratio");
  add(state, omega, "X_1d", "R_1d", c.d);
  add(state, omega, "X_1q", "R_1q", c.q);
  add(state, omega, "X_2q", "R_2q", c.q);
  return c;
}

const CircuitState* first_dynamic(const CircuitModel& model) {
  for (const CircuitState& state : model.states)
    if (is_dynamic(model, state)) return &state;
  return nullptr;
}

}  // namespace polepitch
