// Loops of star and delta with lines that are open, against networks solved by hand.
#include "solver/circuits.h"

#include <gtest/gtest.h>

namespace polepitch {
namespace {

Section three_phases() {
  Section s;
  s.pole_pairs = 1;
  for (const char* name : {"A", "B", "C"}) s.branches.push_back({name, BranchKind::phase, 0, 0});
  return s;
}

Circuits circuits_of(StatorCircuit::Connection connection, const std::vector<bool>& closed) {
  StatorCircuit c;
  c.connection = connection;
  c.resistance = 2, c.line_resistance = 1;
  c.closed = closed;
  c.source = [](double) { return std::vector<double>{6, -1, -5}; };
  return machine_circuits(three_phases(), c, {});
}

/// Currents of the lines at direct voltage, nothing but resistance: R j = v.
Eigen::VectorXd line_currents(const Circuits& c) {
  return c.lines * c.resistance.fullPivLu().solve(c.voltage(0));
}

using Connection = StatorCircuit::Connection;

// formula: a delta of 2 ohm is a star of 2/3 ohm; with the lines' 1 ohm 5/3 ohm, the sources' sum being 0.
TEST(Circuits, DeltaIsAStarOfAThird) {
  const Eigen::VectorXd i = line_currents(circuits_of(Connection::delta, {}));
  for (int k = 0; k < 3; ++k) EXPECT_NEAR(i[k], (k == 0 ? 6 : k == 1 ? -1 : -5) / (5.0 / 3), 1e-12);
}

// formula: with line B open, two windings in series beside the third: 4 ‖ 2 = 4/3 ohm, and two lines of 1 ohm.
TEST(Circuits, DeltaWithOneLineOpen) {
  const Circuits c = circuits_of(Connection::delta, {true, false, true});
  const Eigen::VectorXd i = line_currents(c);
  EXPECT_NEAR(i[0], 11 / (4.0 / 3 + 2), 1e-12);
  EXPECT_NEAR(i[1], 0, 1e-12);
  EXPECT_NEAR(i[2], -i[0], 1e-12);
  const Eigen::VectorXd windings = c.turns * c.resistance.fullPivLu().solve(c.voltage(0));
  EXPECT_NEAR(windings[0], windings[1], 1e-12);  // A and B in series
  EXPECT_NEAR(windings[0] - windings[2], i[0], 1e-12);
}

// A delta's windings stay joined: what goes round has 6 ohm and no source; no line carries anything.
TEST(Circuits, DeltaWithItsLinesOpen) {
  for (const std::vector<bool>& closed : {std::vector<bool>{false, false, false}, {false, true, false}}) {
    const Circuits c = circuits_of(Connection::delta, closed);
    ASSERT_EQ(c.turns.cols(), 1);
    EXPECT_NEAR(c.resistance(0, 0), 6, 1e-12);
    EXPECT_NEAR(c.voltage(0)[0], 0, 1e-12);
    EXPECT_TRUE(c.lines.isZero());
  }
}

// formula: two phases of an isolated star in series, 6 ohm; one alone carries nothing.
TEST(Circuits, StarWithLinesOpen) {
  const Eigen::VectorXd i = line_currents(circuits_of(Connection::star, {true, false, true}));
  EXPECT_NEAR(i[0], 11 / 6.0, 1e-12);
  EXPECT_NEAR(i[1], 0, 1e-12);
  EXPECT_EQ(circuits_of(Connection::star, {true, false, false}).turns.cols(), 0);
  EXPECT_NEAR(line_currents(circuits_of(Connection::star_with_neutral, {true, false, false}))[0], 2, 1e-12);
}

// A wound rotor's phases: an isolated star of its own, 2 · 0.5 ohm between two of them.
TEST(Circuits, WoundRotor) {
  Section s = three_phases();
  for (const char* name : {"a", "b", "c"}) s.branches.push_back({name, BranchKind::rotor_phase, 0, 0});
  const Circuits c = machine_circuits(s, {}, {}, {0.5, 1e-3});
  ASSERT_EQ(c.turns.cols(), 4);
  EXPECT_TRUE(c.turns.bottomRows(3).colwise().sum().isZero());
  EXPECT_NEAR(c.resistance(2, 2), 1, 1e-12);
  EXPECT_NEAR(c.inductance(3, 3), 2e-3, 1e-15);
  EXPECT_TRUE(c.lines.rightCols(2).isZero());
}

}  // namespace
}  // namespace polepitch
