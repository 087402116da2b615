// The study sudden-short-circuit of a linear generator beside what its frequency response says: constants, and the
// first peak of its circuit in another program.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>

#include "cases/circuit.h"
#include "post/winding_data.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/post/circuit_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

const std::string kTwoMethods = "two methods of the program";

/// The ready generator with dampers, of constant permeability: one set of constants is then the machine's at any
/// current.
std::string linear_generator() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/damper-generator.toml");
  text.resize(text.find("[[study]]"));
  return replaced(replaced(text, "\"M400-50A\"", "\"linear-steel\""), "\"demo-steel\"", "\"linear-steel\"");
}

std::string short_circuit(const std::string& lines) {
  return study_text("sudden-short-circuit", "step_tolerance = 1e-3\npositions = 2\n" + lines);
}

/// Two independent ways to the same numbers: steps in time with the rotor turning, and complex fields at rest. 10 % (a
/// choice): a reading in two exponentials of a current that has more of them, with a resistance that the standard's
/// formula takes for small and that is a fifth of X''_d in this machine.
void expect_constants(const SteadyCase& machine, const StudyResult& at_rest, const StudyResult& stepped,
                      double resistance, const std::string& what) {
  for (const char* name : {"X_d_transient", "X_d_subtransient", "T_d_transient", "T_d_subtransient"})
    test::record_check(
        fmt::format("linear generator, {}: {} of the oscillogram over the frequency response's", what, name),
        value(stepped, name) / value(at_rest, name), 1, 0.1, "1", "frequency response of the same section",
        kTwoMethods);
  // formula (IEC 60034-4-1): T_a = X_2/(ω R).
  test::record_check(
      fmt::format("linear generator, {}: T_a of the oscillogram over X_2/(omega R)", what),
      value(stepped, "T_a") * per_unit_base(machine.kase.machine).omega * resistance / value(at_rest, "X_2"), 1, 0.1,
      "1", "IEC 60034-4-1 (formula)", test::kClosedForm);
  EXPECT_LT(value(stepped, "oscillogram_deviation"), 0.1);
}

TEST(SuddenShortCircuit, ConstantsOfTheFrequencyResponse) {
  const std::string lines = "steps_per_period = 60\nduration = \"0.3 s\"\n";
  SteadyCase machine(linear_generator() + short_circuit("phase_resistance = \"1 mohm\"\n" + lines) +
                         short_circuit(lines) + study_text("frequency-response", "positions = 3\n"),
                     0.2);
  const StudyResult at_rest = run_study(machine, 2);
  expect_constants(machine, at_rest, run_study(machine, 0), 1e-3, "1 mohm a phase");
  expect_constants(machine, at_rest, run_study(machine, 1),
                   winding_data(machine.section, machine.kase.machine, machine.kase.materials).resistance,
                   "the winding's resistance");
}

/// The circuit that the frequency response exports, shorted in ngspice, at the winding's own resistance: 5 % of the
/// field's first peak (a choice; circuits of two and one dampers fitted to 1 %, and what slots add to a peak).
TEST(SuddenShortCircuit, FirstPeakOfTheCircuitInSpice) {
  SteadyCase machine(linear_generator() + short_circuit("steps_per_period = 60\nduration = \"0.1 s\"\n") +
                         study_text("frequency-response", "positions = 3\n"),
                     0.2);
  const StudyResult stepped = run_study(machine, 0);
  machine.context.name = "frequency-response";
  CircuitModel model = circuit_model(machine.kase, machine.section, run_study(machine, 1).results);
  const double r_phase = winding_data(machine.section, machine.kase.machine, machine.kase.materials).resistance;
  const double r_field = field_winding_data(machine.section, machine.kase.machine, machine.kase.materials).resistance;
  model.winding.parameters = {{"R_phase", r_phase, "ohm", {}, {}, "Given."}};
  const CircuitFolder folder(model);
  const double i_f = value(stepped, "i_field");
  std::ofstream(folder.path() + "/deck.cir") << fmt::format(
      "* sudden short circuit\n.include machine_dynamic_1.cir\nVa a 0 0\nVb b 0 0\nVc c 0 0\nRn n 0 1\nVs speed 0 "
      "{:.15g}\nRt torque 0 1k\nVf f1 0 {:.15g}\nX1 a b c n f1 0 speed torque machine_dynamic_1 params: if0={:.15g}\n"
      ".options reltol=1e-6 abstol=1e-9 vntol=1e-9\n.tran 20u 0.1 0 20u uic\n.control\nset numdgt=12\nrun\n"
      "wrdata out.txt i(va) i(vb) i(vc)\nquit 0\n.endc\n.end\n",
      per_unit_base(machine.kase.machine).omega / machine.section.pole_pairs, r_field * i_f, i_f);
  folder.run("ngspice -b deck.cir");
  std::istringstream lines(folder.text("out.txt"));
  double peak = 0, i_a = 0, i_b = 0, i_c = 0;
  for (double t; lines >> t >> i_a >> t >> i_b >> t >> i_c;)
    peak = std::max({peak, std::abs(i_a), std::abs(i_b), std::abs(i_c)});
  test::record_check("linear generator: first peak of the field's sudden short circuit over its circuit's in SPICE",
                     value(stepped, "I_peak") / peak, 1, 0.05, "1", "ngspice on the exported rotor circuits",
                     kTwoMethods);
}

}  // namespace
}  // namespace polepitch
