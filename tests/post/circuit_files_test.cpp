#include "post/circuit_files.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "circuit_helper.h"
#include "geometry/error.h"
#include "post/text_lines.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;

TEST(CircuitModel, ReadsBackBitForBit) {
  const CircuitModel model = circuit_example();
  const std::string text = circuit_json(model);
  EXPECT_EQ(circuit_json(read_circuit_json(text)), text);
  const CircuitModel read = read_circuit_json(text);
  EXPECT_EQ(read.maps[0].result.map.lambda_q, model.maps[0].result.map.lambda_q);
  EXPECT_EQ(read.maps[0].inverse[0].i_d, model.maps[0].inverse[0].i_d);
  EXPECT_EQ(read.states[0].value("X_ad"), model.states[0].value("X_ad"));
  EXPECT_FALSE(read.states[0].find("X_fd"));  // not computed, so not there
  EXPECT_THROW(read_circuit_json("{}"), FileError);
  EXPECT_THROW(read_circuit_json("not JSON"), FileError);
}

/// The formula's linkages at the inverse table's currents are the table's linkages. Cubic spline over 20 A where
/// tanh has its scale at 120 A: h⁴/384 · max|f''''| is 1e-5 of the largest linkage.
TEST(CircuitModel, InverseMapGivesTheLinkagesBack) {
  const CircuitModel model = circuit_example();
  ASSERT_EQ(model.maps[0].inverse.size(), 1u);
  const InverseMap& inverse = model.maps[0].inverse[0];
  const FluxMapSurface surface(model.maps[0].result.map);
  const size_t n = inverse.lambda_d.size();
  ASSERT_EQ(n, 65u);
  int inside = 0;
  for (size_t q = 0; q < n; ++q)
    for (size_t d = 0; d < n; ++d) {
      const double i_d = inverse.i_d[q * n + d], i_q = inverse.i_q[q * n + d];
      if (!surface.covers(i_d, i_q)) continue;
      ++inside;
      const FluxMapPoint p = saturating_machine(i_d, i_q);
      EXPECT_NEAR(p.lambda_d, inverse.lambda_d[d], 2e-6);
      EXPECT_NEAR(p.lambda_q, inverse.lambda_q[q], 2e-6);
    }
  EXPECT_EQ(inside + inverse.outside, static_cast<int>(n * n));
  EXPECT_GT(inside, 3 * inverse.outside);
  EXPECT_GT(inverse.error, 0);
  EXPECT_LT(inverse.error, 1e-3);
}

/// Steady state of the formula's machine by Newton's method with differences: v = R i + jω λ.
FluxMapCurrents steady(Complex voltage, double resistance, double omega) {
  FluxMapCurrents i;
  const auto rest = [&](double d, double q) {
    const FluxMapPoint p = saturating_machine(d, q);
    return resistance * Complex(d, q) + Complex(0, omega) * Complex(p.lambda_d, p.lambda_q) - voltage;
  };
  for (int step = 0; step < 50; ++step) {
    const Complex f = rest(i.i_d, i.i_q), by_d = (rest(i.i_d + 1e-4, i.i_q) - f) / 1e-4,
                  by_q = (rest(i.i_d, i.i_q + 1e-4) - f) / 1e-4;
    const double det = by_d.real() * by_q.imag() - by_q.real() * by_d.imag();
    i.i_d -= (f.real() * by_q.imag() - f.imag() * by_q.real()) / det;
    i.i_q -= (by_d.real() * f.imag() - by_d.imag() * f.real()) / det;
  }
  return i;
}

/// Source of the expected values: the closed formulas above. The exported map is within 1e-4 of what ngspice, an
/// independent solver, makes of it; transients have fallen by exp(-0.5 s · R/L) < 1e-7.
TEST(CircuitFiles, SpiceReachesTheMapsSteadyState) {
  const CircuitFolder folder(circuit_example());
  const double omega = 400 * std::acos(-1.0);
  for (const Complex voltage : {Complex(-110, 75), Complex(60, 100)}) {
    const FluxMapCurrents i = steady(voltage, 0.03, omega);
    const TransientEnd end = spice_transient(folder, "machine_map_1", voltage, 4, omega, 0.5);
    const double size = std::hypot(i.i_d, i.i_q), torque = saturating_machine(i.i_d, i.i_q).torque;
    EXPECT_NEAR(end.i_d, i.i_d, 1e-4 * size);
    EXPECT_NEAR(end.i_q, i.i_q, 1e-4 * size);
    EXPECT_NEAR(end.torque, torque, 1e-4 * std::abs(torque) + 1e-3);
  }
}

/// The same phases in delta between line voltages: the same phase currents and torque. Formula.
TEST(CircuitFiles, SpiceKnowsTheDelta) {
  CircuitModel model = circuit_example();
  model.star = false;
  const CircuitFolder folder(model);
  const double omega = 400 * std::acos(-1.0);
  const Complex voltage(-110, 75);
  const FluxMapCurrents i = steady(voltage, 0.03, omega);
  const TransientEnd end = spice_transient(folder, "machine_map_1", voltage, 4, omega, 0.5, 0, false);
  const double size = std::hypot(i.i_d, i.i_q), torque = saturating_machine(i.i_d, i.i_q).torque;
  EXPECT_NEAR(end.i_d, i.i_d, 1e-4 * size);
  EXPECT_NEAR(end.i_q, i.i_q, 1e-4 * size);
  EXPECT_NEAR(end.torque, torque, 1e-4 * std::abs(torque) + 1e-3);
}

/// Constant inductances: v = R i + jωλ is a linear system; the field current is U_f/R_f. Formula. L_ff/R_f is 0.04 s:
/// what is left of the transient after 0.5 s is exp(-12) of it; the time step's own error is below 1e-4.
TEST(CircuitFiles, SpiceReachesTheLinearMachinesSteadyState) {
  const CircuitFolder folder(circuit_example());
  const double omega = 400 * std::acos(-1.0), r = 0.03, xd = omega * 1e-3, xq = omega * 0.6e-3, i_f = 3;
  const Complex voltage(-40, 70);
  // v_d = r i_d − x_q i_q, v_q = r i_q + x_d i_d + ω L_df i_f
  const double emf = omega * 20e-3 * i_f, det = r * r + xd * xq;
  const double i_d = (r * voltage.real() + xq * (voltage.imag() - emf)) / det,
               i_q = (r * (voltage.imag() - emf) - xd * voltage.real()) / det;
  const TransientEnd end = spice_transient(folder, "machine_linear_1", voltage, 4, omega, 0.5, 20 * i_f);
  const double size = std::hypot(i_d, i_q);
  EXPECT_NEAR(end.i_f, i_f, 1e-4 * i_f);
  EXPECT_NEAR(end.i_d, i_d, 2e-4 * size);
  EXPECT_NEAR(end.i_q, i_q, 2e-4 * size);
  const double torque = 6 * ((xd * i_d + emf) * i_q - xq * i_q * i_d) / omega;
  EXPECT_NEAR(end.torque, torque, 2e-4 * std::abs(torque));
}

/// Each table has the numbers that its head promises, and they are the map's, bit for bit.
TEST(CircuitFiles, ModelicaTablesReadBack) {
  const CircuitModel model = circuit_example();
  const std::vector<CircuitFile> files = modelica_files(model);
  ASSERT_EQ(files.size(), 2u);
  EXPECT_NE(files[0].text.find("parameter Real(unit=\"Ohm\") X_ad = "), std::string::npos);
  EXPECT_NE(files[0].text.find("\\\"apparent\\\""), std::string::npos);
  std::istringstream lines(files[1].text);
  std::string line;
  std::getline(lines, line);
  EXPECT_EQ(line, "#1");
  int tables = 0;
  const FluxMap& map = model.maps[0].result.map;
  while (std::getline(lines, line)) {
    if (line[0] == '#') continue;
    size_t rows = 0, columns = 0;
    char name[64];
    ASSERT_EQ(std::sscanf(line.c_str(), "double %63[^(](%zu,%zu)", name, &rows, &columns), 3) << line;
    ++tables;
    std::vector<double> values(rows * columns);
    for (double& v : values) ASSERT_TRUE(lines >> v);
    std::getline(lines, line);
    if (std::string(name) != "torque_1_1") continue;
    ASSERT_EQ(rows, map.i_d.size() + 1);
    for (size_t d = 0; d < map.i_d.size(); ++d)
      for (size_t q = 0; q < map.i_q.size(); ++q)
        EXPECT_EQ(values[(d + 1) * columns + q + 1], map.torque[map.at(d, q, 0)]);
  }
  EXPECT_EQ(tables, 6);  // four of the map, two of its inverse
}

TEST(CircuitFiles, MatFileIsReadByAnotherLibrary) {
  const CircuitModel model = circuit_example();
  const CircuitFolder folder(model);
  const std::string out = folder.run(
      "/usr/bin/python3 -c \"import scipy.io as s; m = s.loadmat('machine.mat'); "
      "print(m['map1_torque'].shape, repr(float(m['map1_torque'][3,5,0])), repr(float(m['state1']['X_ad'][0,0][0,0])), "
      "repr(float(m['inverse1_i_q'][7,9])), m['pole_pairs'][0,0], m['conventions'][0][:8])\"");
  const FluxMap& map = model.maps[0].result.map;
  EXPECT_EQ(out, fmt::format("(17, 17, 1) {} {} {} 4.0 Currents\n", map.torque[map.at(3, 5, 0)],
                             model.states[0].value("X_ad"), model.maps[0].inverse[0].i_q[9 * 65 + 7]));
}

TEST(CircuitFiles, RdfIsReadByAnotherLibrary) {
  const CircuitFolder folder(circuit_example());
  const std::string out = folder.run(
      "/usr/bin/python3 -c \"import rdflib; g = rdflib.Graph().parse('machine.rdf', format='xml'); "
      "c = rdflib.Namespace('http://iec.ch/TC57/CIM100#'); "
      "p = lambda n: [str(o) for o in g.objects(None, c[n])]; "
      "print(p('SynchronousMachineEquivalentCircuit.xad'), p('SynchronousMachineEquivalentCircuit.xfd'), "
      "p('SynchronousMachineTimeConstantReactance.xDirectSync'), p('SynchronousMachineTimeConstantReactance.tpdo'), "
      "sorted(set(p('RotatingMachineDynamics.statorResistance'))), p('RotatingMachine.ratedU'), "
      "sorted(set(p('IdentifiedObject.name'))))\"");
  EXPECT_EQ(out, "['1.018'] [] ['1.131'] ['0.4'] ['0.027'] ['0.2'] ['Example & test (invented)']\n");
}

TEST(CircuitFiles, CsvNamesUnitsBaseAndSigns) {
  const std::vector<CircuitFile> files = csv_files(circuit_example());
  ASSERT_EQ(files.size(), 3u);
  EXPECT_EQ(files[0].text.rfind("# Currents into the terminals (motoring)", 0), 0u);
  EXPECT_NE(files[0].text.find("reciprocal field base"), std::string::npos);
  EXPECT_NE(files[0].text.find("\"Quadrature axis, \"\"apparent\"\".\""), std::string::npos);
  EXPECT_NE(files[1].text.find("i_d [A],i_q [A],i_field [A],lambda_d [Wb]"), std::string::npos);
  EXPECT_NE(files[2].text.find("lambda_d [Wb],lambda_q [Wb],i_d [A],i_q [A]"), std::string::npos);
}

/// Without a rating there is no base: no CIM file; of six phases no SPICE file.
TEST(CircuitFiles, WhatDoesNotFitIsLeftOut) {
  CircuitModel model = circuit_example();
  model.base.reset();
  EXPECT_TRUE(cim_files(model).empty());
  EXPECT_EQ(circuit_json(read_circuit_json(circuit_json(model))), circuit_json(model));
  model.phases = 6;
  EXPECT_TRUE(spice_files(model).empty());
}

TEST(TextLines, BreakAtBlanks) {
  EXPECT_EQ(commented("# ", "one two three", 9), "# one two\n# three\n");
  EXPECT_EQ(xml_escaped("a<b & \"c\""), "a&lt;b &amp; &quot;c&quot;");
}

}  // namespace
}  // namespace polepitch
