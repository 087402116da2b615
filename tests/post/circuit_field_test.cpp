// The SPICE subcircuit with the field current as a state against closed formulas.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <fstream>
#include <sstream>

#include "circuit_helper.h"
#include "post/circuit_files.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using State = std::array<double, 3>;  // d, q, f
const double pi = std::acos(-1.0), kOmega = 100 * pi;
constexpr double kRs = 0.03, kRf = 20;

State linkages(const State& i) {
  const WoundPoint p = saturating_wound(i[0], i[1], i[2]);
  return {p.lambda_d, p.lambda_q, p.lambda_f};
}

/// Solution of f(x) = 0 by Newton's method with differences and Cramer's rule.
template <class Function>
State root(Function f, State x) {
  for (int step = 0; step < 60; ++step) {
    const State r = f(x);
    std::array<State, 3> columns;
    for (size_t k = 0; k < 3; ++k) {
      State moved = x;
      moved[k] += 1e-5;
      const State there = f(moved);
      for (size_t i = 0; i < 3; ++i) columns[k][i] = (there[i] - r[i]) / 1e-5;
    }
    const auto det = [](const State& a, const State& b, const State& c) {
      return a[0] * (b[1] * c[2] - b[2] * c[1]) - b[0] * (a[1] * c[2] - a[2] * c[1]) +
             c[0] * (a[1] * b[2] - a[2] * b[1]);
    };
    const double whole = det(columns[0], columns[1], columns[2]);
    x[0] -= det(r, columns[1], columns[2]) / whole;
    x[1] -= det(columns[0], r, columns[2]) / whole;
    x[2] -= det(columns[0], columns[1], r) / whole;
  }
  return x;
}

State voltages(const State& i) {  // R i + jωλ of the stator, R i of the field
  const State l = linkages(i);
  return {kRs * i[0] - kOmega * l[1], kRs * i[1] + kOmega * l[0], kRf * i[2]};
}

State steady(const State& voltage) {
  return root(
      [&](const State& i) {
        State v = voltages(i);
        for (size_t k = 0; k < 3; ++k) v[k] -= voltage[k];
        return v;
      },
      {0, 0, voltage[2] / kRf});
}

/// dλ/dt = u − R i − jωλ by the classical fourth-order method from the steady state at u_f = `before`.
State stepped(State voltage, double before, double duration) {
  State start = voltage;
  start[2] = before;
  State i = steady(start), l = linkages(i);
  const auto currents = [&](const State& target) {
    i = root(
        [&](const State& x) {
          State r = linkages(x);
          for (size_t k = 0; k < 3; ++k) r[k] -= target[k];
          return r;
        },
        i);
    return i;
  };
  const auto rate = [&](const State& at) {
    const State now = currents(at);
    return State{voltage[0] - kRs * now[0] + kOmega * at[1], voltage[1] - kRs * now[1] - kOmega * at[0],
                 voltage[2] - kRf * now[2]};
  };
  const int steps = static_cast<int>(std::lround(duration / 1e-4));
  const double h = duration / steps;
  const auto along = [](State a, const State& b, double share) {
    for (size_t k = 0; k < 3; ++k) a[k] += share * b[k];
    return a;
  };
  for (int n = 0; n < steps; ++n) {
    const State a = rate(l), b = rate(along(l, a, h / 2)), c = rate(along(l, b, h / 2)), d = rate(along(l, c, h));
    for (size_t k = 0; k < 3; ++k) l[k] += h / 6 * (a[k] + 2 * b[k] + 2 * c[k] + d[k]);
  }
  return currents(l);
}

/// Source of the expected values: the closed formulas of the helper, solved here by Newton's method. The forward maps
/// are within 1e-5 of them (splines over 20 A and over 1 A, which counts as 20 A, where tanh has its scale at 120 A),
/// the straight lines of the table block within 2e-5; transients have fallen by exp(−0.4 s · R/L) < 1e-5.
TEST(CircuitField, SpiceReachesTheSteadyStateOfTheFieldVoltage) {
  const CircuitFolder folder(wound_example());
  for (const State& voltage : {State{-20, 22, 60}, State{12, 30, 50}}) {
    const State i = steady(voltage);
    ASSERT_LT(std::max(std::abs(i[0]), std::abs(i[1])), 155);
    const TransientEnd end =
        spice_transient(folder, "machine_field_1", {voltage[0], voltage[1]}, 4, kOmega, 0.4, voltage[2]);
    const double size = std::hypot(i[0], i[1]), torque = saturating_wound(i[0], i[1], i[2]).torque;
    EXPECT_NEAR(end.i_f, i[2], 1e-4 * i[2]);
    EXPECT_NEAR(end.i_q, i[1], 1e-4 * size);
    test::record_check("SPICE file with the field current as a state: i_d in the steady state over the formula's",
                       end.i_d / i[0], 1, 1e-4 * size / std::abs(i[0]), "1", "v = R i + j omega lambda(i) (formula)",
                       test::kClosedForm);
    EXPECT_NEAR(end.torque, torque, 1e-4 * std::abs(torque) + 1e-3);
  }
}

/// The field voltage is raised by half in the steady state; 10, 30 and 80 ms on the field current is that of the
/// differential equations, integrated here. 1e-3 of the step: the trapezoidal rule at 1000 steps a period.
TEST(CircuitField, SpiceFollowsAStepOfTheFieldVoltage) {
  const CircuitFolder folder(wound_example());
  const State voltage{-20, 22, 75};
  const double before = 50, from = 0.4;
  std::string deck = "* step of the field voltage\n.include machine_field_1.cir\n";
  for (int k = 0; k < 3; ++k)
    deck += fmt::format("V{0} {0} 0 SIN(0 {1:.15g} 50 0 0 {2:.15g})\n", "abc"[k], std::hypot(voltage[0], voltage[1]),
                        (std::atan2(voltage[1], voltage[0]) + pi / 2) * 180 / pi - 120 * k);
  deck += fmt::format("Rn n 0 1\nVspeed speed 0 {:.15g}\nRt torque 0 1k\nVf f1 0 PWL(0 {} {} {} {} {})\n", kOmega / 4,
                      before, from, before, from + 1e-9, voltage[2]);
  deck += "X1 a b c n f1 0 speed torque machine_field_1\n.options reltol=1e-6 abstol=1e-9 vntol=1e-9\n";
  deck += ".tran 20u 0.5 0.39 20u uic\n.control\nset numdgt=12\nrun\nwrdata out.txt i(vf)\nquit 0\n.endc\n.end\n";
  std::ofstream(folder.path() + "/deck.cir") << deck;
  folder.run("ngspice -b deck.cir");
  std::istringstream lines(folder.text("out.txt"));
  std::vector<std::pair<double, double>> points;
  for (double t, v; lines >> t >> v;) points.emplace_back(t, -v);
  const double rise = (voltage[2] - before) / kRf;
  for (double after : {0.01, 0.03, 0.08}) {
    double found = 0;
    for (size_t k = 1; k < points.size(); ++k)
      if (points[k - 1].first <= from + after && points[k].first > from + after)
        found = points[k - 1].second + (from + after - points[k - 1].first) / (points[k].first - points[k - 1].first) *
                                           (points[k].second - points[k - 1].second);
    const double expected = stepped(voltage, before, after)[2];
    EXPECT_GT(expected, before / kRf);
    EXPECT_NEAR(found, expected, 1e-3 * rise) << after;
  }
}

/// A map of one field current has no such file.
TEST(CircuitField, NeedsSeveralFieldCurrents) {
  for (const CircuitFile& file : spice_files(circuit_example()))
    EXPECT_EQ(file.name.find("field"), std::string::npos) << file.name;
}

}  // namespace
}  // namespace polepitch
