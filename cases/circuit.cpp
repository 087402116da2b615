#include "cases/circuit.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "cases/command_line.h"
#include "post/dq.h"

namespace polepitch {
namespace {

constexpr std::array kStateSymbols = {"X_d_apparent",
                                      "X_q_apparent",
                                      "X_dq_apparent",
                                      "X_qd_apparent",
                                      "X_l",
                                      "X_l_d",
                                      "X_l_q",
                                      "X_ad",
                                      "X_aq",
                                      "X_0",
                                      "X_df",
                                      "X_fd",
                                      "X_d_transient",
                                      "X_d_incremental",
                                      "X_q_incremental",
                                      "X_dq_incremental",
                                      "X_qd_incremental"};

// Of the chosen structure of a frequency response.
constexpr std::array kResponseSymbols = {"X_d_incremental",
                                         "X_q_incremental",
                                         "X_l",
                                         "X_ad",
                                         "X_aq",
                                         "X_d_transient",
                                         "X_d_subtransient",
                                         "X_q_transient",
                                         "X_q_subtransient",
                                         "X_2",
                                         "T_do_transient",
                                         "T_do_subtransient",
                                         "T_d_transient",
                                         "T_d_subtransient",
                                         "T_qo_transient",
                                         "T_qo_subtransient",
                                         "T_q_transient",
                                         "T_q_subtransient",
                                         "T_a",
                                         "L_afo",
                                         "field_base_ratio",
                                         "X_fd",
                                         "R_fd",
                                         "X_f1d",
                                         "X_1d",
                                         "R_1d",
                                         "X_1q",
                                         "R_1q",
                                         "X_2q",
                                         "R_2q",
                                         "fit_deviation_d",
                                         "fit_deviation_q"};

template <class Symbols>
bool among(const Symbols& symbols, const std::string& name) {
  return std::find(symbols.begin(), symbols.end(), name) != symbols.end();
}

/// Other structures than the chosen one, and parts, have a key of their own.
bool is_of_the_state(const Quantity& q) {
  return std::none_of(q.at.begin(), q.at.end(),
                      [](const auto& at) { return at.first == "structure" || at.first == "part"; });
}

bool of_type(const std::string& study, const std::string& type) {
  return study == type || study.rfind(type + "-", 0) == 0;
}

std::string text_of(const std::vector<std::pair<std::string, std::string>>& at) {
  std::string text;
  for (const auto& [key, value] : at) text += fmt::format("{}{} = {}", text.empty() ? "" : ", ", key, value);
  return text;
}

CircuitParameter parameter_of(const Quantity& q, const CircuitModel& model) {
  CircuitParameter p{q.name, q.value, q.unit, q.error, {}, q.definition};
  // A mutual reactance between unlike windings has its per-unit value by the field base alone.
  if (model.base && q.unit == "ohm" && q.name != "X_df" && q.name != "R_field")
    p.per_unit = q.value / model.base->impedance;
  return p;
}

/// From L_ff (2/m) k² = (X_ad + X_fd)/ω with k = X_ad/X_df, the field base current over the base current (eq. 35, 35a).
void add_field_winding(const CircuitModel& model, CircuitState& state) {
  const CircuitParameter *ad = state.find("X_ad"), *df = state.find("X_df"), *fd = state.find("X_fd");
  if (!model.base || !ad || !df || !fd || df->value == 0) return;
  const double k = ad->value / df->value, omega = model.base->omega;
  const double self = (ad->value + fd->value) / omega, turned = 2.0 / model.phases * k * k;
  state.parameters.push_back(
      {"L_ff", self / turned, "H", {}, {}, "Self-inductance of the field winding, its end parts left out."});
  const CircuitParameter* resistance = model.winding.find("R_field");
  if (!resistance) return;
  const double referred = turned * resistance->value;
  state.parameters.push_back({"R_fd",
                              referred,
                              "ohm",
                              {},
                              referred / model.base->impedance,
                              "Resistance of the field winding on the stator's side of the reciprocal base."});
  state.parameters.push_back(
      {"T_do_transient",
       self / referred,
       "s",
       {},
       {},
       "Time constant of the field winding alone with the armature open: (X_ad + X_fd)/(omega R_fd)."});
}

CircuitState& state_of(const Quantity& q, const std::string& at, std::vector<CircuitState>& states) {
  for (CircuitState& s : states)
    if (s.study == q.study && s.at == at) return s;
  states.push_back({q.study, at, {}});
  return states.back();
}

/// Elements of a fitted circuit are quantities named "circuit_…" whose circuit and form stand in `at`.
void add_element(const Quantity& q, CircuitModel& model) {
  const std::string mark = "circuit_";
  if (q.name.rfind(mark, 0) != 0) return;
  for (const auto& [key, value] : q.at) {
    if (key != "circuit") continue;
    CircuitParameter p = parameter_of(q, model);
    p.symbol = q.name.substr(mark.size());
    state_of(q, value, model.induction).parameters.push_back(p);
  }
}

void add_base(const Case& kase, CircuitModel& model) {
  if (!kase.machine.rating.present) return;
  const PerUnitBase base = per_unit_base(kase.machine);
  const Values& rating = kase.machine.rating.values;
  model.base = CircuitBase{base.power,
                           base.voltage,
                           base.current,
                           base.impedance,
                           base.omega,
                           rating.number("line_voltage"),
                           rating.number("power_factor")};
  model.star = base.star;
}

}  // namespace

CircuitModel circuit_model(const Case& kase, const Section& section, const Results& results) {
  CircuitModel model;
  model.machine = kase.name;
  model.title = kase.title;
  model.version = program_version();
  model.phases = phase_count(section);
  model.pole_pairs = section.pole_pairs;
  add_base(kase, model);
  for (const Quantity& q : results.quantities) {
    if (q.name == "R_phase" || q.name == "R_field" || q.name == "saturation_factor" ||
        q.name == "saturation_factor_120")
      if (!model.winding.find(q.name)) model.winding.parameters.push_back(parameter_of(q, model));
    if ((of_type(q.study, "reactances") && among(kStateSymbols, q.name)) ||
        (of_type(q.study, "frequency-response") && among(kResponseSymbols, q.name) && is_of_the_state(q)))
      state_of(q, text_of(q.at), model.states).parameters.push_back(parameter_of(q, model));
  }
  for (const Quantity& q : results.quantities) add_element(q, model);
  for (CircuitState& state : model.states) add_field_winding(model, state);
  for (const FluxMapResult& map : results.flux_maps) model.maps.push_back({map, inverse_maps(map.map)});
  return model;
}

}  // namespace polepitch
