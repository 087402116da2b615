// SPICE subcircuits of an induction machine: its circuit twice, along the stator's axes alpha (phase a) and beta, with
// the voltage that turning induces in each cage; and the circuit of one phase over slip for an analysis of phasors.
#include <fmt/format.h>

#include <array>

#include "post/circuit_files.h"
#include "post/spice_text.h"

namespace polepitch {
namespace {

constexpr std::array<char, 2> kAxes = {'x', 'y'};  // alpha and beta in the names of nodes

/// An inductance between two nodes; a source of 0 V where there is none.
std::string inductor(const std::string& name, const std::string& from, const std::string& to, double inductance) {
  return inductance > 0 ? fmt::format("L{} {} {} {:.17g}\n", name, from, to, inductance)
                        : fmt::format("V0{} {} {} 0\n", name, from, to);
}

struct Cage {
  char name;
  double resistance, inductance;
};

std::vector<Cage> cages_of(const InductionCircuit& c) {
  std::vector<Cage> cages = {{'a', c.r_a, c.x_a / c.omega}};
  if (c.cages == 2) cages.push_back({'b', c.r_b, c.x_b / c.omega});
  return cages;
}

/// Linkage of a cage along an axis: currents are those through the 0 V sources Vs…, Va…, Vb….
std::string linkage(const InductionCircuit& c, const Cage& of, char axis) {
  std::string rotor, all = fmt::format("i(Vs{})", axis);
  for (const Cage& cage : cages_of(c)) {
    rotor += fmt::format("{}i(V{}{})", rotor.empty() ? "" : "+", cage.name, axis);
    all += fmt::format("+i(V{}{})", cage.name, axis);
  }
  return fmt::format("{:.17g}*({})+{:.17g}*({})+{:.17g}*i(V{}{})", c.x_m / c.omega, all, c.x_2 / c.omega, rotor,
                     of.inductance, of.name, axis);
}

/// Stator branch, magnetising inductance and cages along one axis. Rotor currents flow towards the magnetising node.
std::string branches(const InductionCircuit& c, size_t axis) {
  const char n = kAxes[axis], other = kAxes[1 - axis];
  const char* sign = axis == 0 ? "-" : "";  // 0 = R i + dλ/dt − jω λ
  std::string text = fmt::format("Vs{0} v{0} s{0} 0\nR1{0} s{0} l{0} {1:.17g}\n", n, c.r_1);
  text += inductor(fmt::format("1{}", n), fmt::format("l{}", n), fmt::format("m{}", n), c.x_1 / c.omega);
  text += fmt::format("Lm{0} m{0} 0 {1:.17g}\n", n, c.x_m / c.omega);
  text += inductor(fmt::format("2{}", n), fmt::format("r{}", n), fmt::format("m{}", n), c.x_2 / c.omega);
  for (const Cage& cage : cages_of(c)) {
    text += fmt::format("Be{0}{1} e{0}{1} 0 V={2}{3}*V(speed)*({4})\n", cage.name, n, sign, c.pole_pairs,
                        linkage(c, cage, other));
    text += fmt::format("R{0}{1} e{0}{1} f{0}{1} {2:.17g}\n", cage.name, n, cage.resistance);
    text += inductor(fmt::format("{}{}", cage.name, n), fmt::format("f{}{}", cage.name, n),
                     fmt::format("g{}{}", cage.name, n), cage.inductance);
    text += fmt::format("V{0}{1} g{0}{1} r{1} 0\n", cage.name, n);
  }
  return text;
}

std::string stator_linkage(const InductionCircuit& c, char axis) {
  std::string all = fmt::format("i(Vs{})", axis);
  for (const Cage& cage : cages_of(c)) all += fmt::format("+i(V{}{})", cage.name, axis);
  return fmt::format("({:.17g}*i(Vs{})+{:.17g}*({}))", c.x_1 / c.omega, axis, c.x_m / c.omega, all);
}

CircuitFile turning(const CircuitModel& model, const CircuitState& state, const std::string& name) {
  const InductionCircuit c = induction_circuit(model, state);
  constexpr std::array<double, 3> kCosine = {1, -0.5, -0.5};
  constexpr std::array<double, 3> kSine = {0, 0.86602540378443865, -0.86602540378443865};
  std::string text = spice_header(model, fmt::format("{} of study {}, constant elements", state.at, state.study));
  text += fmt::format(".subckt {} {} speed torque\n", name, spice_terminals(model));
  const auto ends = spice_phase_ends(model.star);
  std::string along, across, phases;
  for (size_t k = 0; k < 3; ++k) {
    const auto [from, to] = ends[k];
    along += fmt::format("{:+.17g}*V({},{})", 2 * kCosine[k] / 3, from, to);
    across += fmt::format("{:+.17g}*V({},{})", 2 * kSine[k] / 3, from, to);
    phases += fmt::format("Bi{0} {0} {1} I={2:.17g}*i(Vsx)+{3:.17g}*i(Vsy)\nR{0} {0} {1} 1e9\n", from, to, kCosine[k],
                          kSine[k]);
  }
  text += fmt::format("Bx vx 0 V={}\nBy vy 0 V={}\n", along, across) + phases;
  text += branches(c, 0) + branches(c, 1);
  text += fmt::format("Btorque torque 0 V={:.17g}*({}*i(Vsy)-{}*i(Vsx))\nRspeed speed 0 1e12\n.ends {}\n",
                      0.5 * c.phases * c.pole_pairs, stator_linkage(c, 'x'), stator_linkage(c, 'y'), name);
  return {name + ".cir", text};
}

CircuitFile phase(const CircuitModel& model, const CircuitState& state, const std::string& name) {
  const InductionCircuit c = induction_circuit(model, state);
  std::string text = fmt::format("* {}: {} of study {}, one phase over slip\n",
                                 model.title.empty() ? model.machine : model.title, state.at, state.study);
  text += fmt::format(
      "* Pins: p n. Phasors (.ac) at {0:.12g} Hz; the slip is a parameter, other than 0. Torque is {1} x {2} / "
      "{3:.12g} rad/s x\n* the sum of R/slip |I|^2 over the cages, I r.m.s. in Va (and Vb).\n",
      c.omega / (2 * std::acos(-1.0)), c.phases, c.pole_pairs, c.omega);
  text += fmt::format(".subckt {} p n params: slip=1\nR1 p 1 {:.17g}\n", name, c.r_1);
  text += inductor("1", "1", "m", c.x_1 / c.omega) + fmt::format("Lm m n {:.17g}\n", c.x_m / c.omega);
  text += inductor("2", "m", "r", c.x_2 / c.omega);
  for (const Cage& cage : cages_of(c)) {
    text += inductor(std::string(1, cage.name), "r", fmt::format("f{}", cage.name), cage.inductance);
    text += fmt::format("R{0} f{0} g{0} {{{1:.17g}/slip}}\nV{0} g{0} n 0\n", cage.name, cage.resistance);
  }
  return {name + ".cir", text + fmt::format(".ends {}\n", name)};
}

}  // namespace

std::vector<CircuitFile> spice_induction_files(const CircuitModel& model) {
  std::vector<CircuitFile> files;
  if (model.phases != 3) return files;
  int number = 0;
  for (const CircuitState& state : model.induction) {
    const std::string name = fmt::format("machine_induction_{}", ++number);
    files.push_back(turning(model, state, name));
    files.push_back(phase(model, state, name + "_phase"));
  }
  return files;
}

}  // namespace polepitch
