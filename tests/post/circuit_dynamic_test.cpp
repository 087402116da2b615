// Circuit files of a frequency response: rotor circuits in SPICE against closed forms, and the names of IEC 61970-302.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "post/circuit_files.h"
#include "post/dynamic_circuit.h"
#include "tests/post/circuit_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

using Complex = std::complex<double>;
const double pi = std::acos(-1.0), kOmega = 100 * pi;

/// A small generator, invented; L_f1d is negative as machines with dampers near the gap have it.
CircuitModel dynamic_example() {
  CircuitModel model = circuit_example();
  model.pole_pairs = 2;
  model.maps.clear();
  model.base = CircuitBase{45000, 326.6, 91.86, 3.5556, kOmega, 400, 0.8};
  model.winding.parameters = {{"R_phase", 0.07, "ohm", {}, 0.0197, "Resistance of a phase."}};
  CircuitState state{"frequency-response", "state = initial permeability", {}};
  const auto ohms = [&](const char* symbol, double value) {
    state.parameters.push_back({symbol, value, "ohm", {}, value / model.base->impedance, "Element."});
  };
  ohms("X_l", 0.23), ohms("X_d_incremental", 4.4), ohms("X_q_incremental", 2.4);
  ohms("X_fd", 0.84), ohms("R_fd", 0.031), ohms("X_f1d", -0.35), ohms("X_1d", 1.5), ohms("R_1d", 0.26);
  ohms("X_1q", 0.19), ohms("R_1q", 0.12);
  state.parameters.push_back({"field_base_ratio", 0.105, "", {}, {}, "Ratio."});
  state.parameters.push_back({"T_do_transient", 0.52, "s", {}, {}, "Time constant."});
  model.states.push_back(state);
  return model;
}

/// Columns of wrdata: time and value in turn.
std::vector<std::pair<double, double>> waveform(const CircuitFolder& folder, const std::string& deck) {
  std::ofstream(folder.path() + "/deck.cir") << deck;
  folder.run("ngspice -b deck.cir");
  std::istringstream lines(folder.text("out.txt"));
  std::vector<std::pair<double, double>> points;
  for (double t, v; lines >> t >> v;) points.emplace_back(t, v);
  return points;
}

const std::string kOptions = ".options reltol=1e-6 abstol=1e-9 vntol=1e-9\n";

/// One axis on phase a's at rest, field winding shorted: u = (R + jωL(jω)) i (formula). Transients have fallen by
/// exp(−1/0.07) after a second; the trapezoidal rule at 400 steps a period leaves 1e-4.
TEST(CircuitDynamic, SpiceHasTheOperationalInductanceAtRest) {
  const CircuitModel model = dynamic_example();
  const DynamicCircuit c = dynamic_circuit(model, *first_dynamic(model));
  const CircuitFolder folder(model);
  constexpr double kHertz = 10;
  for (bool d : {true, false}) {
    std::string deck =
        "* at rest\n.include machine_dynamic_1.cir\nVa a 0 SIN(0 1 10)\nVb b 0 SIN(0 -0.5 10)\n"
        "Vc c 0 SIN(0 -0.5 10)\nRn n 0 1\nVs speed 0 0\nRt torque 0 1k\nVf f1 0 0\n";
    deck += fmt::format("X1 a b c n f1 0 speed torque machine_dynamic_1 params: theta0={:.15g}\n", d ? 0 : -pi / 2);
    deck += kOptions +
            ".tran 0.25m 1.3 1 0.25m uic\n.control\nset numdgt=12\nrun\nwrdata out.txt i(va)\nquit 0\n.endc\n.end\n";
    Complex sum;
    double last = 1, span = 0;
    for (const auto& [t, v] : waveform(folder, deck)) {  // three whole periods
      sum += (t - last) * -v * std::polar(1.0, -2 * pi * kHertz * t);
      span += t - last, last = t;
    }
    const Complex found = 2.0 * sum / span * Complex{0, 1}, s{0, 2 * pi * kHertz};
    const Complex expected = 1.0 / (0.07 + s * (d ? c.d : c.q).inductance(s));
    test::record_check(
        fmt::format("SPICE file of a frequency response at rest, {}-axis: current over the closed form's",
                    d ? "d" : "q"),
        std::abs(found / expected), 1, 2e-3, "1", "u = (R + j omega L(j omega)) i (formula)", test::kClosedForm);
    EXPECT_NEAR(std::arg(found / expected), 0, 2e-3) << d;
  }
}

/// 1/L(s) of one axis as a0 + Σ a_k e^{−t/T_k} after a step; answers to 1 and to cos ωt, both from t = 0, in closed
/// form.
struct Answers {
  double step = 0, cosine = 0, sine = 0;
};
Answers answers(const AxisCircuit& axis, double t) {
  const AxisConstants k = axis_constants(axis);
  const Complex steady = std::polar(1.0, kOmega * t) / axis.inductance({0, kOmega});
  Answers a{1 / axis.synchronous(), steady.real(), steady.imag()};
  double before = 1 / axis.synchronous();
  for (size_t i = 0; i < k.inductance.size(); ++i) {
    const double share = 1 / k.inductance[i] - before, fall = std::exp(-t / k.closed[i]), turn = kOmega * k.closed[i];
    a.step += share * fall;
    a.cosine += share * fall / (1 + turn * turn);
    a.sine -= share * fall * turn / (1 + turn * turn);
    before = 1 / k.inductance[i];
  }
  return a;
}

/// Sudden short circuit from no load at constant speed without armature resistance: ψ_d = ψ cos ωt, ψ_q = −ψ sin ωt,
/// i_d = (ψ_d − ψ)/L_d(s), i_q = ψ_q/L_q(s) (formula). The first peak is the one that protection and shaft meet. 1e-3:
/// the trapezoidal rule at 1000 steps a period.
TEST(CircuitDynamic, SpiceMeetsTheSuddenShortCircuitsClosedForm) {
  const CircuitModel model = dynamic_example();
  const DynamicCircuit c = dynamic_circuit(model, *first_dynamic(model));
  const CircuitFolder folder(model);
  const double i_f = 8, r_f = c.d.rotor[0].resistance * 1.5 / (c.field_ratio * c.field_ratio);
  const double linkage = c.d.magnetising * i_f / c.field_ratio;
  std::string deck = fmt::format(
      "* sudden short circuit\n.include machine_dynamic_1.cir\nVa a 0 0\nVb b 0 0\nVc c 0 0\nRn n 0 1\nVs speed 0 "
      "{:.15g}\nRt torque 0 1k\nVf f1 0 {:.15g}\nX1 a b c n f1 0 speed torque machine_dynamic_1 params: rs=0 if0={}\n",
      kOmega / 2, r_f * i_f, i_f);
  deck +=
      kOptions + ".tran 20u 0.1 0 20u uic\n.control\nset numdgt=12\nrun\nwrdata out.txt i(va)\nquit 0\n.endc\n.end\n";
  double peak = 0, exact_peak = 0, worst = 0;
  for (const auto& [t, v] : waveform(folder, deck)) {
    const Answers d = answers(c.d, t), q = answers(c.q, t);
    const double i_d = linkage * (d.cosine - d.step), i_q = -linkage * q.sine;
    const double exact = i_d * std::cos(kOmega * t) - i_q * std::sin(kOmega * t);
    peak = std::max(peak, std::abs(v));
    exact_peak = std::max(exact_peak, std::abs(exact));
    worst = std::max(worst, std::abs(-v - exact));
  }
  test::record_check("SPICE file of a frequency response: first peak of a sudden short circuit over the closed form's",
                     peak / exact_peak, 1, 1e-3, "1", "psi/L(s) of both axes (formula)", test::kClosedForm);
  EXPECT_LT(worst, 2e-3 * exact_peak);
}

TEST(CircuitDynamic, RdfHasTheRotorCircuitsOfOneState) {
  const std::vector<CircuitFile> files = cim_files(dynamic_example());
  ASSERT_EQ(files.size(), 1u);
  const std::string& text = files[0].text;
  const auto has = [&](const std::string& attribute, double value) {
    const std::string line = fmt::format("{}>{}</cim:", attribute, value);
    EXPECT_NE(text.find(line), std::string::npos) << line;
  };
  has("SynchronousMachineEquivalentCircuit.x1d", 1.5 / 3.5556);
  has("SynchronousMachineEquivalentCircuit.xf1d", -0.35 / 3.5556);
  has("SynchronousMachineEquivalentCircuit.r1q", 0.12 / 3.5556);
  has("SynchronousMachineTimeConstantReactance.xDirectSync", 4.4 / 3.5556);
  has("SynchronousMachineTimeConstantReactance.tpdo", 0.52);
  EXPECT_NE(text.find("State: study frequency-response at state = initial"), std::string::npos);
  EXPECT_EQ(text.find("x2q"), std::string::npos);  // not computed: not there
}

}  // namespace
}  // namespace polepitch
