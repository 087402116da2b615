// RDF/XML with the class and attribute names of IEC 61970-302 (namespace http://iec.ch/TC57/CIM100#), in per unit.
#include <fmt/format.h>

#include <array>

#include "post/circuit_files.h"
#include "post/text_lines.h"

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

/// Reactances and resistances in per unit, time constants in s, saturation factors as they are.
std::string value_of(const CircuitParameter& p) {
  return fmt::format("{}", p.per_unit ? *p.per_unit : p.value);
}

template <class Names>
std::string attributes(const CircuitModel& model, const char* owner, const Names& names) {
  std::string text;
  for (const Name& name : names) {
    const CircuitParameter* p = model.states.front().find(name.symbol);
    if (!p) p = model.winding.find(name.symbol);
    if (p && (p->per_unit || p->unit.empty() || p->unit == "s"))
      text +=
          fmt::format("    <cim:{}.{}>{}</cim:{}.{}>\n", owner, name.attribute, value_of(*p), owner, name.attribute);
  }
  return text;
}

/// A name-based identifier: two 64-bit FNV-1a sums in the form of a UUID of version 8 (RFC 9562).
std::string identifier(const std::string& text) {
  std::array<unsigned long long, 2> sums = {14695981039346656037ull, 0x9e3779b97f4a7c15ull};
  for (unsigned char c : text)
    for (unsigned long long& sum : sums) sum = (sum ^ c) * 1099511628211ull;
  return fmt::format("{:08x}-{:04x}-8{:03x}-{:04x}-{:012x}", sums[0] >> 32, (sums[0] >> 16) & 0xffff, sums[0] & 0xfff,
                     0x8000 | ((sums[1] >> 48) & 0x3fff), sums[1] & 0xffffffffffffull);
}

}  // namespace

std::vector<CircuitFile> cim_files(const CircuitModel& model) {
  if (!model.base || model.states.empty()) return {};
  const std::string machine = identifier(model.machine + model.title);
  const std::string name = xml_escaped(model.title.empty() ? model.machine : model.title);
  std::string text =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!--\n" + commented("  ", xml_escaped(circuit_conventions(model))) +
      xml_escaped(fmt::format("  State: study {} at {}.\n", model.states.front().study, model.states.front().at)) +
      "-->\n<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" "
      "xmlns:cim=\"http://iec.ch/TC57/CIM100#\">\n";
  const auto begin = [&](const char* type, const std::string& id) {
    text += fmt::format(
        "  <cim:{} rdf:about=\"urn:uuid:{}\">\n    <cim:IdentifiedObject.mRID>{}</cim:IdentifiedObject."
        "mRID>\n    <cim:IdentifiedObject.name>{}</cim:IdentifiedObject.name>\n",
        type, id, id, name);
  };
  begin("SynchronousMachine", machine);
  text += fmt::format(
      "    <cim:RotatingMachine.ratedS>{}</cim:RotatingMachine.ratedS>\n"
      "    <cim:RotatingMachine.ratedU>{}</cim:RotatingMachine.ratedU>\n"
      "    <cim:RotatingMachine.ratedPowerFactor>{}</cim:RotatingMachine.ratedPowerFactor>\n"
      "  </cim:SynchronousMachine>\n",
      model.base->power * 1e-6, model.base->line_voltage * 1e-3, model.base->power_factor);
  const auto add = [&](const char* type, const auto& names) {
    begin(type, identifier(model.machine + model.title + type));
    text += attributes(model, "RotatingMachineDynamics", kRotating) + attributes(model, type, names);
    text += fmt::format(
        "    <cim:SynchronousMachineDynamics.SynchronousMachine rdf:resource=\"urn:uuid:{}\"/>\n"
        "  </cim:{}>\n",
        machine, type);
  };
  add("SynchronousMachineEquivalentCircuit", kCircuit);
  add("SynchronousMachineTimeConstantReactance", kConstants);
  return {{"machine.rdf", text + "</rdf:RDF>\n"}};
}

}  // namespace polepitch
