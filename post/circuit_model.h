// Equivalent circuit of a machine as one body of data: a synchronous machine's parameters of named magnetic states and
// saturated flux maps, forward and inverse; an induction machine's circuits. Its JSON is the one that every other
// circuit file is made from. Motoring currents
// into the terminal; dq amplitude-invariant, q leads d by 90° electrical; ohm, henry, weber, ampere (peak); per unit on
// the rating with the reciprocal field base (docs/theory.md, eq. 35). What was not computed is not there.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "post/flux_map.h"
#include "post/induction_circuit.h"

namespace polepitch {

struct CircuitParameter {
  std::string symbol;              // "X_ad"
  double value = 0;                // in `unit`
  std::string unit;                // "ohm", "s", ""
  std::optional<double> error;     // in `unit`
  std::optional<double> per_unit;  // where the machine has a rating
  std::string meaning;             // one sentence
};

/// The parameters of one magnetic state.
struct CircuitState {
  std::string study;  // "reactances-2"; "" for what holds in all states
  std::string at;     // "phase_current = 65 A, field_current = 16 A"
  std::vector<CircuitParameter> parameters;

  const CircuitParameter* find(const std::string& symbol) const;
  double value(const std::string& symbol) const { return find(symbol)->value; }
};

/// i_d, i_q over a grid of linkages at one field current.
struct InverseMap {
  double i_f = 0;                          // A
  std::vector<double> lambda_d, lambda_q;  // Wb, peak, ascending
  std::vector<double> i_d, i_q;            // A, at [q · size(lambda_d) + d]
  int outside = 0;                         // points whose currents lie beyond the flux map's grid: extrapolated
  double error = 0;  // largest difference of λ(i(λ)) from λ between the points, over the map's largest linkage
};

struct CircuitMap {
  FluxMapResult result;
  std::vector<InverseMap> inverse;  // one a field current
};

struct CircuitBase {
  double power = 0, voltage = 0, current = 0, impedance = 0, omega = 0;  // V A; peak V, A a phase; ohm; rad/s
  double line_voltage = 0;                                               // V, r.m.s.
  double power_factor = 0;
};

struct CircuitModel {
  std::string machine, title, version;
  int phases = 3, pole_pairs = 1;
  bool star = true;
  std::optional<CircuitBase> base;
  CircuitState winding;  // resistances
  std::vector<CircuitState> states;
  std::vector<CircuitMap> maps;
  std::vector<CircuitState> induction;  // one a circuit and form; the elements are those of InductionCircuit

  bool empty() const { return states.empty() && maps.empty() && induction.empty(); }
};

/// The elements of an entry of CircuitModel::induction: frequency, R_1, X_1, X_m, X_2, R_a and, of two cages, R_b, X_b
/// in the T form; X_sigma and X_M in place of X_1 and X_m, without X_2, in the inverse-Γ form.
InductionCircuit induction_circuit(const CircuitModel& model, const CircuitState& state);

/// Currents of `points` × `points` linkages over the rectangle round all linkages of the map, one table a field
/// current. The rectangle shrinks where the spline cannot be turned round.
std::vector<InverseMap> inverse_maps(const FluxMap& map, size_t points = 65);

/// Signs, units and axes in one paragraph: stands in every file.
std::string circuit_conventions(const CircuitModel& model);

/// JSON text and back, bit for bit. Reading throws FileError naming what is missing.
std::string circuit_json(const CircuitModel& model);
CircuitModel read_circuit_json(const std::string& text);

}  // namespace polepitch
