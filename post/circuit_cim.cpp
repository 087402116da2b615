// RDF/XML with the class and attribute names of IEC 61970-302 (namespace http://iec.ch/TC57/CIM100#), in per unit.
#include <fmt/format.h>

#include <array>

#include "post/cim_text.h"
#include "post/circuit_files.h"
#include "post/dynamic_circuit.h"

namespace polepitch {
namespace {

struct Name {
  const char *symbol, *attribute;
};

constexpr std::array kRotating = {Name{"X_l", "statorLeakageReactance"}, Name{"R_phase", "statorResistance"},
                                  Name{"saturation_factor", "saturationFactor"},
                                  Name{"saturation_factor_120", "saturationFactor120"}};
constexpr std::array kCircuit = {Name{"X_ad", "xad"}, Name{"X_aq", "xaq"}, Name{"X_fd", "xfd"}, Name{"R_fd", "rfd"}};
constexpr std::array kConstants = {Name{"X_d_apparent", "xDirectSync"}, Name{"X_q_apparent", "xQuadSync"},
                                   Name{"X_d_transient", "xDirectTrans"}, Name{"T_do_transient", "tpdo"}};

/// Of a frequency response: rotor circuits, and what an oscillogram would show.
constexpr std::array kDynamicCircuit = {Name{"X_ad", "xad"}, Name{"X_aq", "xaq"},   Name{"X_fd", "xfd"},
                                        Name{"R_fd", "rfd"}, Name{"X_f1d", "xf1d"}, Name{"X_1d", "x1d"},
                                        Name{"R_1d", "r1d"}, Name{"X_1q", "x1q"},   Name{"R_1q", "r1q"},
                                        Name{"X_2q", "x2q"}, Name{"R_2q", "r2q"}};
constexpr std::array kDynamicConstants = {Name{"X_d_incremental", "xDirectSync"},
                                          Name{"X_d_transient", "xDirectTrans"},
                                          Name{"X_d_subtransient", "xDirectSubtrans"},
                                          Name{"X_q_incremental", "xQuadSync"},
                                          Name{"X_q_transient", "xQuadTrans"},
                                          Name{"X_q_subtransient", "xQuadSubtrans"},
                                          Name{"T_do_transient", "tpdo"},
                                          Name{"T_do_subtransient", "tppdo"},
                                          Name{"T_qo_transient", "tpqo"},
                                          Name{"T_qo_subtransient", "tppqo"}};

/// Reactances and resistances in per unit, time constants in s, saturation factors as they are.
std::string value_of(const CircuitParameter& p) {
  return fmt::format("{}", p.per_unit ? *p.per_unit : p.value);
}

template <class Names>
std::string attributes(const CircuitModel& model, const CircuitState& state, const char* owner, const Names& names) {
  std::string text;
  for (const Name& name : names) {
    const CircuitParameter* p = state.find(name.symbol);
    if (!p) p = model.winding.find(name.symbol);
    if (p && (p->per_unit || p->unit.empty() || p->unit == "s"))
      text +=
          fmt::format("    <cim:{}.{}>{}</cim:{}.{}>\n", owner, name.attribute, value_of(*p), owner, name.attribute);
  }
  return text;
}

}  // namespace

std::vector<CircuitFile> cim_files(const CircuitModel& model) {
  if (!model.base) return {};
  if (model.states.empty()) return cim_asynchronous_files(model);
  // One state for all: the frequency response's where there is one, whose elements belong together.
  const CircuitState* dynamic = first_dynamic(model);
  const CircuitState& state = dynamic ? *dynamic : model.states.front();
  std::string text = cim_head(model, fmt::format("State: study {} at {}.", state.study, state.at));
  text += cim_object(model, "SynchronousMachine");
  text += fmt::format(
      "    <cim:RotatingMachine.ratedS>{}</cim:RotatingMachine.ratedS>\n"
      "    <cim:RotatingMachine.ratedU>{}</cim:RotatingMachine.ratedU>\n"
      "    <cim:RotatingMachine.ratedPowerFactor>{}</cim:RotatingMachine.ratedPowerFactor>\n"
      "  </cim:SynchronousMachine>\n",
      model.base->power * 1e-6, model.base->line_voltage * 1e-3, model.base->power_factor);
  const auto add = [&](const char* type, const auto& names) {
    text += cim_object(model, type);
    text += attributes(model, state, "RotatingMachineDynamics", kRotating) + attributes(model, state, type, names);
    text += fmt::format(
        "    <cim:SynchronousMachineDynamics.SynchronousMachine rdf:resource=\"urn:uuid:{}\"/>\n"
        "  </cim:{}>\n",
        cim_identifier(model, "SynchronousMachine"), type);
  };
  if (dynamic) {
    add("SynchronousMachineEquivalentCircuit", kDynamicCircuit);
    add("SynchronousMachineTimeConstantReactance", kDynamicConstants);
  } else {
    add("SynchronousMachineEquivalentCircuit", kCircuit);
    add("SynchronousMachineTimeConstantReactance", kConstants);
  }
  return {{"machine.rdf", text + "</rdf:RDF>\n"}};
}

}  // namespace polepitch
