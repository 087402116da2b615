// Powers at a load point by independent parts, and the exported flux map of the same machine fed with the load point's
// voltage by another program.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cases/circuit.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/post/circuit_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr double coarse = 0.3;

/// formula: terminal power = copper + mean shaft power. The terminal's side comes from linkages over the coil sides,
/// the shaft's from the gap's harmonics: independent parts. On this mesh torque is within 5e-4 of its mean, the slot
/// ripple of twelve positions is averaged to 4e-4 (twenty-four differ by so much): 1e-3 of the rated power. On half the
/// density both are met as well, on a third the torque is 1.5 % off.
TEST(LoadPowers, TerminalPowerIsCopperPlusShaftPower) {
  for (const char* lines : {"operation = \"generator\"\n"}) {
    SteadyCase machine(
        small_salient_machine(false) +
            study_text("load-point", std::string("positions = 12\nphase_resistance = \"0.2 ohm\"\n") + lines),
        1.0);
    const StudyResult r = run_study(machine, 0);
    test::record_check(std::string("load point as ") + (lines[13] == 'g' ? "generator" : "motor") +
                           ": terminal power less copper less shaft power over the rating",
                       value(r, "power_balance"), 0, 1e-3, "1",
                       "conservation of energy; linkages against gap harmonics", test::kClosedForm);
    EXPECT_GT(value(r, "copper_loss_stator"), 100);
  }
}

/// The same of a saturated magnet machine whose rotor turns around its stator.
TEST(LoadPowers, TerminalPowerIsCopperPlusShaftPowerOfARotorOutside) {
  SteadyCase machine(
      read_text_file(std::string(SOURCE_DIR) + "/tests/physics/outer.toml") +
          study_text("load-point", "positions = 6\nphase_resistance = \"0.8 ohm\"\noperation = \"motor\"\n"),
      0.5);
  const StudyResult r = run_study(machine, 0);
  test::record_check(
      "load point of a rotor around its stator: terminal power less copper less shaft power over the rating",
      value(r, "power_balance"), 0, 1e-3, "1", "conservation of energy; linkages against gap harmonics",
      test::kClosedForm);
  EXPECT_GT(value(r, "torque_mean"), 5);
  EXPECT_GT(value(r, "copper_loss_stator"), 30);
}

/// The steel that has coefficients, in the small machine. Iron loss of the load point is that of the study iron-loss at
/// its currents (code test); the efficiency is by the summation of losses, no loss counted twice.
TEST(LoadPowers, IronLossAndEfficiencyAtALoadPoint) {
  const std::string text = replaced(small_salient_machine(false), "\"M400-50A\"", "\"demo-steel\"");
  SteadyCase machine(
      text + study_text("load-point", "positions = 2\nloss_positions = 12\nphase_resistance = \"0.2 ohm\"\n"), coarse);
  const StudyResult r = run_study(machine, 0);
  const double iron = value(r, "iron_loss"), copper = value(r, "copper_loss_stator");
  EXPECT_GT(iron, 0);
  EXPECT_NEAR(value(r, "iron_loss_stator") + value(r, "iron_loss_rotor"), iron, 1e-9 * iron);
  EXPECT_NEAR(value(r, "hysteresis_loss") + value(r, "classical_loss") + value(r, "excess_loss"), iron, 1e-9 * iron);
  double field = 0;
  for (const Quantity& q : r.results.quantities)
    if (q.name == "copper_loss_field") field = q.value;
  const double out = value(r, "P_terminal");
  EXPECT_NEAR(value(r, "efficiency"), out / (out + iron + copper + field), 1e-12);
  const double i_d = value(r, "i_d"), i_q = value(r, "i_q");
  SteadyCase again(
      text + study_text("iron-loss", fmt::format("phase_current = \"{:.12g} A\"\ncurrent_angle = \"{:.12g} deg\"\n"
                                                 "field_current = \"{:.12g} A\"\nloss_positions = 12\n",
                                                 std::hypot(i_d, i_q) / std::sqrt(2.0), std::atan2(i_q, i_d) * 180 / pi,
                                                 value(r, "i_field"))),
      coarse);
  EXPECT_NEAR(value(run_study(again, 0), "iron_loss"), iron, 1e-6 * iron);
}

TEST(LoadPowers, IronLossWithoutCoefficientsIsRefused) {
  SteadyCase machine(small_salient_machine(false) + study_text("load-point", "positions = 2\nloss_positions = 12\n") +
                         study_text("operating-point", "positions = 2\nloss_positions = 12\n"),
                     coarse);
  for (size_t k : {0u, 1u}) EXPECT_THROW(run_study(machine, k), InputError) << k;
}

/// The whole way: the field's load point, the field's map as exported, ngspice between the load point's voltages until
/// the steady state. Tolerances: the map is within its stated error of the field between its points, and a current is
/// off by that linkage over the smallest incremental inductance; the transient by 1e-4.
TEST(LoadPowers, SpiceReachesTheLoadPoint) {
  std::string text = small_salient_machine(false) +
                     study_text("load-point", "positions = 6\noperation = \"motor\"\nphase_resistance = \"0.2 ohm\"\n");
  SteadyCase machine(text, coarse);
  const StudyResult r = run_study(machine, 0);
  const double i_d = value(r, "i_d"), i_q = value(r, "i_q"), reach = 1.5 * std::hypot(i_d, i_q);
  SteadyCase mapped(text + study_text("flux-map", fmt::format("positions = 6\nfield_currents = [\"{:.12g} A\"]\n"
                                                              "largest_current = \"{:.6g} A\"\n",
                                                              value(r, "i_field"), reach / std::sqrt(2.0))),
                    coarse);
  const StudyResult map = run_study(mapped, 1);
  CircuitModel model = circuit_model(mapped.kase, mapped.section, map.results);
  model.winding.parameters = {{"R_phase", 0.2, "ohm", {}, {}, "Given."}};
  const CircuitFolder folder(model);
  const double omega = per_unit_base(machine.kase.machine).omega;
  const std::complex<double> voltage =
      std::polar(std::sqrt(2.0) * value(r, "U_phase"), pi / 2 + value(r, "load_angle") * pi / 180);
  const TransientEnd end = spice_transient(folder, "machine_map_1", voltage, mapped.section.pole_pairs, omega, 1.5);
  const FluxMapResult& result = map.results.flux_maps.at(0);
  const FluxMapSurface surface(result.map);
  const double i_f = result.map.i_f.at(0), step = 0.01 * reach;
  const double slope =
      (surface.at(i_d, i_q + step, i_f).lambda_q - surface.at(i_d, i_q - step, i_f).lambda_q) / (2 * step);
  const double most_linkage = std::abs(*std::max_element(result.map.lambda_d.begin(), result.map.lambda_d.end()));
  const double most_torque = std::abs(*std::max_element(result.map.torque.begin(), result.map.torque.end()));
  EXPECT_LT(result.linkage_error, 1e-3);
  const double off = 2 * result.linkage_error * most_linkage / slope + 1e-4 * reach;
  EXPECT_LT(off, 0.02 * reach);
  EXPECT_NEAR(end.i_d, i_d, off);
  EXPECT_NEAR(end.i_q, i_q, off);
  const double torque = value(r, "torque_mean");
  EXPECT_NEAR(end.torque, torque,
              2 * result.torque_error * most_torque + std::abs(torque) * off / std::hypot(i_d, i_q));
}

bool is_warned(const StudyResult& result, const std::string& words) {
  return std::any_of(result.results.warnings.begin(), result.results.warnings.end(),
                     [&](const std::string& w) { return w.find(words) != std::string::npos; });
}

/// At held voltage and field a linear machine without resistance has ∂T/∂δ = (m/2)(p/ω)[E U/X_d cos δ +
/// U² (1/X_q − 1/X_d) cos 2δ] (formula: the two-reactance torque, differentiated), with the study's own E, X and δ;
/// 2e-3 for what the mean over two positions leaves of the ripple. The second point takes so much reactive power that
/// the field has to help the stator: past pull-out. Rated are 20 kVA.
TEST(LoadPoint, StabilityAndRatingAreTold) {
  const std::string lines = "positions = 2\nphase_resistance = \"0 ohm\"\n";
  SteadyCase machine(small_salient_machine(true) + study_text("load-point", lines) +
                         study_text("load-point", lines + "power = \"12 kW\"\npower_factor = 0.1\n"
                                                          "excitation = \"under-excited\"\n") +
                         study_text("load-point", lines + "power = \"60 kW\"\n"),
                     0.3);
  const double omega = per_unit_base(machine.kase.machine).omega;
  for (size_t k : {0u, 1u, 2u}) {
    const StudyResult r = run_study(machine, k);
    const double u = std::sqrt(2.0) * value(r, "U_phase"),
                 e = std::copysign(std::sqrt(2.0) * value(r, "E_frozen"), value(r, "i_field"));
    const double x_d = value(r, "X_d_apparent"), x_q = value(r, "X_q_apparent");
    const double delta = value(r, "load_angle") * pi / 180;
    const double stiff =
        1.5 * 2 / omega * (e * u / x_d * std::cos(delta) + u * u * (1 / x_q - 1 / x_d) * std::cos(2 * delta));
    EXPECT_NEAR(value(r, "synchronising_torque"), stiff, 2e-3 * 1.5 * 2 / omega * u * u / x_d) << k;
    EXPECT_EQ(value(r, "synchronising_torque") < 0, k == 1) << k;
    EXPECT_EQ(is_warned(r, "past pull-out"), k == 1) << k;
    EXPECT_EQ(is_warned(r, "beyond the rating: the stator carries"), k > 0) << k;
    EXPECT_EQ(is_warned(r, "far beyond the rating"), k > 0) << k;
  }
}

}  // namespace
}  // namespace polepitch
