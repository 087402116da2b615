// RDF/XML of an induction machine with the class and attribute names of IEC 61970-302, in per unit.
#include <fmt/format.h>

#include <stdexcept>

#include "post/cim_text.h"
#include "post/circuit_files.h"

namespace polepitch {
namespace {

struct Attribute {
  const char* name;
  double value;
};

/// Of the circuits in T form the one with most cages, and the last of those.
const CircuitState* chosen(const CircuitModel& model) {
  const CircuitState* best = nullptr;
  for (const CircuitState& state : model.induction)
    if (state.find("X_2") && (!best || induction_circuit(model, state).cages >= induction_circuit(model, *best).cages))
      best = &state;
  return best;
}

std::vector<RotorBranch> branches_of(const InductionCircuit& c) {
  try {
    return parallel_branches(c);
  } catch (const std::invalid_argument&) {
    return {};
  }
}

std::string written(const char* owner, const std::vector<Attribute>& attributes) {
  std::string text;
  for (const Attribute& a : attributes)
    text += fmt::format("    <cim:{0}.{1}>{2}</cim:{0}.{1}>\n", owner, a.name, a.value);
  return text;
}

/// x_s, x', x'' and the open-circuit time constants of the circuit, by the relations that IEC 61970-302 states beside
/// these attributes (memory).
std::vector<Attribute> constants(const InductionCircuit& c, const std::vector<RotorBranch>& rotor, double impedance) {
  const double m = c.x_m, x1 = rotor[0].x;
  std::vector<Attribute> list = {{"xs", (c.x_1 + m) / impedance},
                                 {"xp", (c.x_1 + m * x1 / (m + x1)) / impedance},
                                 {"tpo", (m + x1) / (c.omega * rotor[0].r)}};
  if (rotor.size() < 2) return list;
  const double x2 = rotor[1].x, sum = m * x1 + m * x2 + x1 * x2;
  list.push_back({"xpp", (c.x_1 + m * x1 * x2 / sum) / impedance});
  list.push_back({"tppo", sum / (c.omega * rotor[1].r * (m + x1))});
  return list;
}

std::vector<Attribute> elements(const InductionCircuit& c, const std::vector<RotorBranch>& rotor, double impedance) {
  std::vector<Attribute> list = {
      {"xm", c.x_m / impedance}, {"rr1", rotor[0].r / impedance}, {"xlr1", rotor[0].x / impedance}};
  if (rotor.size() < 2) return list;
  list.push_back({"rr2", rotor[1].r / impedance});
  list.push_back({"xlr2", rotor[1].x / impedance});
  return list;
}

}  // namespace

std::vector<CircuitFile> cim_asynchronous_files(const CircuitModel& model) {
  const CircuitState* state = chosen(model);
  if (!model.base || !state) return {};
  const InductionCircuit c = induction_circuit(model, *state);
  const std::vector<RotorBranch> rotor = branches_of(c);
  if (rotor.empty()) return {};
  const double z = model.base->impedance;
  std::string text =
      cim_head(model, fmt::format("Circuit: {} of study {}; its rotor as parallel branches.", state->at, state->study));
  text += cim_object(model, "AsynchronousMachine");
  text += written("RotatingMachine", {{"ratedS", model.base->power * 1e-6},
                                      {"ratedU", model.base->line_voltage * 1e-3},
                                      {"ratedPowerFactor", model.base->power_factor}});
  text += written("AsynchronousMachine", {{"nominalFrequency", model.base->omega / (2 * std::acos(-1.0))}});
  text += fmt::format("    <cim:AsynchronousMachine.polePairNumber>{}</cim:AsynchronousMachine.polePairNumber>\n",
                      model.pole_pairs);
  text += "  </cim:AsynchronousMachine>\n";
  const auto add = [&](const char* type, const std::vector<Attribute>& attributes) {
    text += cim_object(model, type);
    text +=
        written("RotatingMachineDynamics", {{"statorLeakageReactance", c.x_1 / z}, {"statorResistance", c.r_1 / z}});
    text += written(type, attributes);
    text += fmt::format(
        "    <cim:AsynchronousMachineDynamics.AsynchronousMachine rdf:resource=\"urn:uuid:{}\"/>\n  </cim:{}>\n",
        cim_identifier(model, "AsynchronousMachine"), type);
  };
  add("AsynchronousMachineEquivalentCircuit", elements(c, rotor, z));
  add("AsynchronousMachineTimeConstantReactance", constants(c, rotor, z));
  return {{"machine.rdf", text + "</rdf:RDF>\n"}};
}

}  // namespace polepitch
