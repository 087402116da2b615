// SPICE subcircuits with the rotor circuits of a frequency response. Linkages are states, currents their inverse.
#include <fmt/format.h>

#include <Eigen/Dense>

#include "post/circuit_files.h"
#include "post/dynamic_circuit.h"
#include "post/spice_text.h"

namespace polepitch {
namespace {

/// Stator first, then the rotor circuits.
Eigen::MatrixXd inductances(const AxisCircuit& axis) {
  const auto n = static_cast<Eigen::Index>(axis.rotor.size()) + 1;
  Eigen::MatrixXd l = Eigen::MatrixXd::Constant(n, n, axis.magnetising);
  l.bottomRightCorner(n - 1, n - 1).array() += axis.series;
  l(0, 0) += axis.leakage;
  for (Eigen::Index k = 1; k < n; ++k) l(k, k) += axis.rotor[static_cast<size_t>(k - 1)].inductance;
  return l;
}

/// "psid", then "psird1" …
std::string linkage(char axis, Eigen::Index k) {
  return k == 0 ? fmt::format("psi{}", axis) : fmt::format("psir{}{}", axis, k);
}

std::string current(char axis, Eigen::Index k) {
  return k == 0 ? fmt::format("i{}", axis) : fmt::format("ir{}{}", axis, k);
}

/// Currents of one axis from its linkages, and the voltage equations of its rotor circuits; `field`: circuit 1 is fed
/// by the terminals f1 f2.
std::string axis_text(char axis, const AxisCircuit& circuit, const Eigen::MatrixXd& l, const DynamicCircuit* field,
                      int phases) {
  const Eigen::MatrixXd inverse = l.inverse();
  std::string text;
  for (Eigen::Index k = 0; k < l.rows(); ++k) {
    std::string sum;
    for (Eigen::Index j = 0; j < l.rows(); ++j)
      sum += fmt::format("{}({:.17g})*V({})", j ? "+" : "", inverse(k, j), linkage(axis, j));
    text += fmt::format("B{0} {0} 0 V={1}\n", current(axis, k), sum);
    if (k == 0) continue;
    const std::string psi = linkage(axis, k);
    const bool fed = field && k == 1;
    const std::string voltage =
        fed ? fmt::format("({:.17g})*V(f1,f2)", 2.0 / phases * field->field_ratio) : std::string("0");
    // At rest with the field current if0: what it links.
    const std::string start = field ? fmt::format("{{if0*({:.17g})}}", l(k, 1) / field->field_ratio) : std::string("0");
    text += fmt::format("B{0} 0 {0} I={1}-({2:.17g})*V({3})\nC{0} {0} 0 1 ic={4}\n", psi, voltage,
                        circuit.rotor[static_cast<size_t>(k - 1)].resistance, current(axis, k), start);
    if (fed) text += fmt::format("Bf f1 f2 I=({:.17g})*V({})\nRf f1 f2 1e9\n", field->field_ratio, current(axis, k));
  }
  return text;
}

CircuitFile dynamic(const CircuitModel& model, const CircuitState& state, const std::string& name, double rs) {
  const DynamicCircuit c = dynamic_circuit(model, state);
  const Eigen::MatrixXd d = inductances(c.d), q = inductances(c.q);
  std::string text = spice_header(model, fmt::format("rotor circuits of study {} at {}: {} on d, {} on q", state.study,
                                                     state.at, c.d.rotor.size(), c.q.rotor.size()));
  text += "* Constant inductances: small changes about that state.\n";
  if (c.wound)
    text += "* f1 f2: terminals of the field winding; if0: field current from which it starts, armature open.\n";
  text += fmt::format(".subckt {} {} {}speed torque params: rs={:.17g} theta0=0{}\n", name, spice_terminals(model),
                      c.wound ? "f1 f2 " : "", rs, c.wound ? " if0=0" : "");
  const std::string start = c.wound ? fmt::format("if0*({:.17g})", d(0, 1) / c.field_ratio) : std::string("0");
  text += spice_frame(model, start, "0");
  text += axis_text('d', c.d, d, c.wound ? &c : nullptr, model.phases);
  text += axis_text('q', c.q, q, nullptr, model.phases);
  text += fmt::format("Btorque torque 0 V={:.17g}*(V(psid)*V(iq)-V(psiq)*V(id))\n.ends {}\n",
                      0.5 * model.phases * model.pole_pairs, name);
  return {name + ".cir", text};
}

}  // namespace

std::vector<CircuitFile> spice_dynamic_files(const CircuitModel& model) {
  std::vector<CircuitFile> files;
  const CircuitParameter* rs = model.winding.find("R_phase");
  if (model.phases != 3) return files;
  for (const CircuitState& state : model.states)
    if (is_dynamic(model, state))
      files.push_back(dynamic(model, state, fmt::format("machine_dynamic_{}", files.size() + 1), rs ? rs->value : 0));
  return files;
}

}  // namespace polepitch
