#include "post/circuit_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "geometry/error.h"

namespace polepitch {
namespace {

using Json = nlohmann::ordered_json;

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

std::optional<double> optional_number(const Json& value) {
  return value.is_null() ? std::nullopt : std::optional<double>(value.get<double>());
}

Json written(const CircuitState& state) {
  Json list = Json::array();
  for (const CircuitParameter& p : state.parameters)
    list.push_back({{"symbol", p.symbol},
                    {"value", p.value},
                    {"unit", p.unit},
                    {"error", or_null(p.error)},
                    {"per_unit", or_null(p.per_unit)},
                    {"meaning", p.meaning}});
  return {{"study", state.study}, {"at", state.at}, {"parameters", list}};
}

CircuitState read_state(const Json& json) {
  CircuitState state{json.at("study"), json.at("at"), {}};
  for (const Json& p : json.at("parameters"))
    state.parameters.push_back({p.at("symbol"), p.at("value"), p.at("unit"), optional_number(p.at("error")),
                                optional_number(p.at("per_unit")), p.at("meaning")});
  return state;
}

Json written(const InverseMap& map) {
  return {{"field_current", map.i_f}, {"lambda_d", map.lambda_d}, {"lambda_q", map.lambda_q},
          {"i_d", map.i_d},           {"i_q", map.i_q},           {"extrapolated_points", map.outside},
          {"error", map.error}};
}

Json written(const CircuitMap& entry) {
  const FluxMap& map = entry.result.map;
  Json inverse = Json::array();
  for (const InverseMap& i : entry.inverse) inverse.push_back(written(i));
  return {{"study", entry.result.study},
          {"positions", entry.result.positions},
          {"linkage_error", entry.result.linkage_error},
          {"torque_error", entry.result.torque_error},
          {"order", "value[(f * count(i_q) + q) * count(i_d) + d]"},
          {"i_d", map.i_d},
          {"i_q", map.i_q},
          {"i_field", map.i_f},
          {"lambda_d", map.lambda_d},
          {"lambda_q", map.lambda_q},
          {"lambda_field", map.lambda_f},
          {"torque", map.torque},
          {"inverse", inverse}};
}

CircuitMap read_map(const Json& json, int phases, int pole_pairs) {
  CircuitMap out;
  out.result = {json.at("study"), {}, json.at("positions"), json.at("linkage_error"), json.at("torque_error")};
  FluxMap& map = out.result.map;
  map.phases = phases;
  map.pole_pairs = pole_pairs;
  map.i_d = json.at("i_d").get<std::vector<double>>();
  map.i_q = json.at("i_q").get<std::vector<double>>();
  map.i_f = json.at("i_field").get<std::vector<double>>();
  map.lambda_d = json.at("lambda_d").get<std::vector<double>>();
  map.lambda_q = json.at("lambda_q").get<std::vector<double>>();
  map.lambda_f = json.at("lambda_field").get<std::vector<double>>();
  map.torque = json.at("torque").get<std::vector<double>>();
  for (const Json& i : json.at("inverse"))
    out.inverse.push_back({i.at("field_current"), i.at("lambda_d"), i.at("lambda_q"), i.at("i_d"), i.at("i_q"),
                           i.at("extrapolated_points"), i.at("error")});
  return out;
}

}  // namespace

const CircuitParameter* CircuitState::find(const std::string& symbol) const {
  for (const CircuitParameter& p : parameters)
    if (p.symbol == symbol) return &p;
  return nullptr;
}

InductionCircuit induction_circuit(const CircuitModel& model, const CircuitState& state) {
  const auto value = [&](const char* symbol) {
    const CircuitParameter* p = state.find(symbol);
    return p ? p->value : 0.0;
  };
  InductionCircuit c;
  c.phases = model.phases;
  c.pole_pairs = model.pole_pairs;
  c.omega = 2 * std::acos(-1.0) * value("frequency");
  c.r_1 = value("R_1");
  c.x_1 = state.find("X_sigma") ? value("X_sigma") : value("X_1");
  c.x_m = state.find("X_M") ? value("X_M") : value("X_m");
  c.x_2 = value("X_2");
  c.r_a = value("R_a");
  c.cages = state.find("R_b") ? 2 : 1;
  c.r_b = value("R_b");
  c.x_b = value("X_b");
  return c;
}

std::string circuit_conventions(const CircuitModel& model) {
  std::string text =
      "Currents into the terminals (motoring); dq axes amplitude-invariant, q leads d by 90 deg electrical, theta_e = "
      "pole pairs x rotor angle from the axis of phase a to the d-axis; linkages in Wb and currents in A are peak "
      "values of a phase, end winding included; torque on the rotor positive counter-clockwise, in N m.";
  if (model.base)
    text += fmt::format(
        " Per unit on {:.6g} VA, {:.6g} V and {:.6g} A (peak, a phase), {:.6g} ohm, {:.6g} rad/s; reciprocal field "
        "base "
        "(equal mutuals).",
        model.base->power, model.base->voltage, model.base->current, model.base->impedance, model.base->omega);
  return text + " What was not computed is left out.";
}

std::string circuit_json(const CircuitModel& model) {
  Json json = {{"machine", model.machine},
               {"title", model.title},
               {"version", model.version},
               {"conventions", circuit_conventions(model)},
               {"phases", model.phases},
               {"pole_pairs", model.pole_pairs},
               {"connection", model.star ? "star" : "delta"}};
  if (model.base)
    json["base"] = {{"power", model.base->power},
                    {"voltage", model.base->voltage},
                    {"current", model.base->current},
                    {"impedance", model.base->impedance},
                    {"omega", model.base->omega},
                    {"line_voltage", model.base->line_voltage},
                    {"power_factor", model.base->power_factor}};
  json["winding"] = written(model.winding);
  json["states"] = Json::array();
  for (const CircuitState& state : model.states) json["states"].push_back(written(state));
  json["flux_maps"] = Json::array();
  for (const CircuitMap& map : model.maps) json["flux_maps"].push_back(written(map));
  json["induction_circuits"] = Json::array();
  for (const CircuitState& circuit : model.induction) json["induction_circuits"].push_back(written(circuit));
  return json.dump(1) + "\n";
}

CircuitModel read_circuit_json(const std::string& text) try {
  const Json json = Json::parse(text);
  CircuitModel model;
  model.machine = json.at("machine");
  model.title = json.at("title");
  model.version = json.at("version");
  model.phases = json.at("phases");
  model.pole_pairs = json.at("pole_pairs");
  model.star = json.at("connection") == "star";
  if (json.contains("base")) {
    const Json& b = json["base"];
    model.base = CircuitBase{b.at("power"), b.at("voltage"),      b.at("current"),     b.at("impedance"),
                             b.at("omega"), b.at("line_voltage"), b.at("power_factor")};
  }
  model.winding = read_state(json.at("winding"));
  for (const Json& state : json.at("states")) model.states.push_back(read_state(state));
  for (const Json& map : json.at("flux_maps")) model.maps.push_back(read_map(map, model.phases, model.pole_pairs));
  for (const Json& circuit : json.at("induction_circuits")) model.induction.push_back(read_state(circuit));
  return model;
} catch (const nlohmann::json::exception& e) {
  throw FileError(fmt::format("this is not a circuit model: {}", e.what()), "take the circuit.json of a run");
}

}  // namespace polepitch
