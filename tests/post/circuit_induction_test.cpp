// The files of an induction machine's circuits against the circuit's own closed formula (post/induction_circuit.h,
// which its test holds against the textbook), through programs that did not make them.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "circuit_helper.h"
#include "post/circuit_files.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
constexpr double kVolts = 326;

std::vector<double> numbers(const std::string& text) {
  std::istringstream in(text);
  std::vector<double> values;
  for (double v = 0; in >> v;) values.push_back(v);
  return values;
}

/// formula: phasors of the circuit. Both are linear systems of a few unknowns; ngspice prints 12 digits, and its
/// smallest conductance across every node is 1e-12 S: 1e-6 leaves room for nothing else.
TEST(InductionFiles, SpicePhasorsAreTheCircuitsAtEverySlip) {
  const CircuitModel model = induction_example();
  const CircuitFolder folder(model);
  for (size_t n = 0; n < model.induction.size(); ++n) {
    const InductionCircuit c = induction_circuit(model, model.induction[n]);
    const std::vector<double> slips = {1, 0.6, 0.3, 0.15, 0.08, 0.04, 0.02, 0.005, 1e-3, -0.02, -0.2};
    std::string deck = fmt::format("* over slip\n.include machine_induction_{}_phase.cir\n", n + 1), print;
    for (size_t k = 0; k < slips.size(); ++k) {
      deck += fmt::format("V{0} t{0} 0 AC {1}\nX{0} t{0} 0 machine_induction_{2}_phase slip={3}\n", k, kVolts, n + 1,
                          slips[k]);
      print += fmt::format(
          " real(i(v{0})) imag(i(v{0})) real(i(v.x{0}.va)) imag(i(v.x{0}.va)) real(i(v.x{0}.vb)) "
          "imag(i(v.x{0}.vb))",
          k);
    }
    deck += ".ac lin 1 50 50\n.control\nset numdgt=15\nset wr_singlescale\nrun\nwrdata phasors.txt" + print +
            "\nquit 0\n.endc\n.end\n";
    std::ofstream(folder.path() + "/deck.cir") << deck;
    folder.run("ngspice -b deck.cir");
    const std::vector<double> v = numbers(folder.text("phasors.txt"));
    ASSERT_EQ(v.size(), 1 + 6 * slips.size());
    for (size_t k = 0; k < slips.size(); ++k) {
      const double* row = &v[1 + 6 * k];
      const CircuitPoint expected = circuit_at(c, slips[k], kVolts);
      const Complex current(-row[0], -row[1]);
      EXPECT_NEAR(std::abs(current - expected.current), 0, 1e-6 * std::abs(expected.current)) << slips[k];
      const double heat = c.r_a * (row[2] * row[2] + row[3] * row[3]) + c.r_b * (row[4] * row[4] + row[5] * row[5]);
      const double torque = 0.5 * 3 * 2 / c.omega * heat / slips[k];
      EXPECT_NEAR(torque, expected.torque, 1e-6 * std::abs(expected.torque)) << slips[k];
    }
  }
}

/// formula: the same circuit, reached by the turning machine after its transients. Trapezoids of a thousandth of a
/// period are 3e-6 off in 2π/1000 of angle squared over 12; the slowest transient, X_m over R_b, is gone by e^-12.
TEST(InductionFiles, SpiceMachineRunsAtTheCircuitsPoint) {
  const CircuitModel model = induction_example();
  const CircuitFolder folder(model);
  const InductionCircuit c = induction_circuit(model, model.induction[1]);
  for (double slip : {0.04, 0.5}) {
    const double speed = (1 - slip) * c.omega;  // pole pairs of 1 in the electrical frame; the pin takes mechanical
    const TransientEnd end =
        spice_transient(folder, "machine_induction_2", Complex(0, kVolts), 2, c.omega, 2.4, 0, true, speed / 2);
    const CircuitPoint expected = circuit_at(c, slip, kVolts);
    const Complex current = Complex(end.i_d, end.i_q) / Complex(0, 1);
    EXPECT_NEAR(std::abs(current - expected.current), 0, 1e-4 * std::abs(expected.current)) << slip;
    EXPECT_NEAR(end.torque, expected.torque, 1e-4 * std::abs(expected.torque)) << slip;
  }
}

/// formula: partial fractions leave the rotor's impedance as it was, at every slip.
TEST(InductionFiles, ParallelBranchesAreTheSameRotor) {
  const CircuitModel model = induction_example();
  const InductionCircuit c = induction_circuit(model, model.induction[1]);
  const std::vector<RotorBranch> rotor = parallel_branches(c);
  ASSERT_EQ(rotor.size(), 2u);
  EXPECT_LT(rotor[0].r, rotor[1].r);
  for (double slip : {1.0, 0.1, 0.01, -0.3}) {
    const Complex a(c.r_a / slip, 0), b(c.r_b / slip, c.x_b);
    const Complex expected = Complex(0, c.x_2) + a * b / (a + b);
    const Complex one(rotor[0].r / slip, rotor[0].x), two(rotor[1].r / slip, rotor[1].x);
    EXPECT_NEAR(std::abs(one * two / (one + two) - expected), 0, 1e-9 * std::abs(expected)) << slip;
  }
}

TEST(InductionFiles, JsonReadsBackBitForBit) {
  const CircuitModel model = induction_example();
  const std::string text = circuit_json(model);
  const CircuitModel read = read_circuit_json(text);
  EXPECT_EQ(circuit_json(read), text);
  EXPECT_EQ(read.induction[1].value("X_2"), model.induction[1].value("X_2"));
}

/// The attributes as an RDF library reads them; x_s and x'' by their formulas from the circuit.
TEST(InductionFiles, RdfHasTheAsynchronousNames) {
  const CircuitModel model = induction_example();
  const CircuitFolder folder(model);
  const std::string out = folder.run(
      "/usr/bin/python3 -c \"import rdflib; g = rdflib.Graph().parse('machine.rdf', format='xml'); "
      "c = rdflib.Namespace('http://iec.ch/TC57/CIM100#'); "
      "p = lambda n: float(next(g.objects(None, c[n]))); e = 'AsynchronousMachineEquivalentCircuit.'; "
      "t = 'AsynchronousMachineTimeConstantReactance.'; "
      "print(p(e+'xm'), p(e+'rr1'), p(e+'xlr1'), p(e+'rr2'), p(e+'xlr2'), p(t+'xs'), p(t+'xp'), p(t+'xpp'), "
      "p(t+'tpo'), "
      "p(t+'tppo'), p('RotatingMachineDynamics.statorLeakageReactance'), p('AsynchronousMachine.polePairNumber'))\"");
  const std::vector<double> v = numbers(out);
  ASSERT_EQ(v.size(), 12u);
  const InductionCircuit c = induction_circuit(model, model.induction[1]);
  const double z = model.base->impedance;
  EXPECT_NEAR(v[0], c.x_m / z, 1e-12);
  EXPECT_NEAR(v[5], (c.x_1 + c.x_m) / z, 1e-12);
  EXPECT_NEAR(v[10], c.x_1 / z, 1e-12);
  EXPECT_EQ(v[11], 2);
  EXPECT_NEAR(1 / (v[7] - v[10]), 1 / v[0] + 1 / v[2] + 1 / v[4], 1e-9);  // three branches in parallel
  EXPECT_NEAR(v[8] * c.omega * v[1], v[0] + v[2], 1e-9);
  EXPECT_LT(v[7], v[6]);
  EXPECT_LT(v[9], v[8]);
}

TEST(InductionFiles, TablesHoldEveryElement) {
  const CircuitModel model = induction_example();
  const std::string csv = csv_files(model).at(0).text, modelica = modelica_files(model).at(0).text;
  EXPECT_NE(csv.find("X_2,"), std::string::npos);
  EXPECT_NE(csv.find("\"double cage, T form\""), std::string::npos);
  EXPECT_NE(modelica.find("record Induction2"), std::string::npos);
  size_t count = 0;
  for (size_t at = modelica.find("record Induction2"); (at = modelica.find("parameter", at + 1)) != std::string::npos;)
    ++count;
  EXPECT_EQ(count, model.induction[1].parameters.size());
  const CircuitFolder folder(model);
  EXPECT_EQ(folder.run("/usr/bin/python3 -c \"import scipy.io as s; "
                       "print(repr(float(s.loadmat('machine.mat')['induction2']['R_b'][0,0][0,0])))\""),
            fmt::format("{}\n", model.induction[1].value("R_b")));
}

}  // namespace
}  // namespace polepitch
