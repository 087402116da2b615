// The studies torque-speed and iron-loss: a machine of constant permeability against the closed forms of constant
// inductances (S. Morimoto and others, IEEE Trans. Ind. Appl. 26(5), 1990; memory), reluctance torque over the current
// angle, the balance of powers, and what is refused.
#include <gtest/gtest.h>

#include <cmath>

#include "cases/steady_state.h"
#include "cases/torque_speed.h"
#include "post/dq.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

constexpr double coarse = 0.3;

std::string machine(const std::string& name) {
  std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/" + name + ".toml");
  text.resize(text.find("[[study]]"));
  return text;
}

/// Of constant permeability and full pitch: with a shorter one the layers, of which the upper takes more of the slots'
/// flux, turn the magnets' linkage a little off the d-axis.
std::string linear_v_magnets() {
  const std::string text = replaced(machine("v-magnet-motor"), "coil_span = 5", "coil_span = 6");
  return replaced(text, "stator_material = \"demo-steel\"", "stator_material = \"linear-steel\"");
}

const std::string kQuick = "lines = 4\npositions = 12\niron_loss = false\nspeeds = 13\ntorques = 6\n";

struct Constants {
  double magnet = 0, l_d = 0, l_q = 0, l_dq = 0;
};

Constants constants_of(SteadyCase& m, int positions) {
  SteadyOptions options = steady_options(m.context, positions);
  SteadyState state(m.context, options);
  const Phasor rest = state.at(0, 0).linkage, d = state.at({-50, 0}, 0).linkage, q = state.at({0, 50}, 0).linkage;
  return {rest.real(), (rest - d).real() / 50, (q - rest).imag() / 50, (q - rest).real() / 50};
}

const Column& column(const StudyResult& result, const std::string& curve, const std::string& name) {
  for (const ResultCurve& c : result.results.curves)
    if (c.name == curve)
      for (const Column& each : c.columns)
        if (each.name == name) return each;
  throw std::invalid_argument("no column " + name);
}

TEST(TorqueSpeed, LinearMachineMeetsTheClosedForms) {
  SteadyCase m(linear_v_magnets() + study_text("torque-speed", kQuick + "phase_resistance = \"0 ohm\"\n"), coarse);
  const Constants c = constants_of(m, 12);
  const StudyResult result = run_study(m, 0);
  const double current = per_unit_base(m.kase.machine).current, voltage = per_unit_base(m.kase.machine).voltage;
  const double d = c.l_q - c.l_d;
  const double i_d = (c.magnet - std::sqrt(c.magnet * c.magnet + 8 * d * d * current * current)) / (4 * d),
               i_q = std::sqrt(current * current - i_d * i_d);
  const std::string source = "constant inductances of the same field (formula)";
  // 2e-3: the torque's mean over a sixth of a period does not quite close with the linkages on one mesh.
  test::record_check("most torque per ampere at the limit over its formula",
                     value(result, "torque_limit") / (6 * (c.magnet * i_q - d * i_d * i_q)), 1, 2e-3, "1", source,
                     test::kClosedForm);
  // 5e-4: torque is flat at its maximum, so its angle, and the voltage with it, carries the root of that.
  const double base = voltage / std::hypot(c.magnet + c.l_d * i_d, c.l_q * i_q) / 4 * 30 / pi;
  test::record_check("base speed over its formula", value(result, "base_speed") / base, 1, 5e-4, "1", source,
                     test::kClosedForm);
  EXPECT_NEAR(value(result, "current_angle_mtpa"), std::atan2(i_q, i_d) * 180 / pi, 0.5);
  for (double u : column(result, "limits", "U_phase").values) EXPECT_LE(u, voltage / std::sqrt(2.0) * (1 + 1e-6));
  for (double i : column(result, "limits", "I_phase").values) EXPECT_LE(i, current / std::sqrt(2.0) * (1 + 1e-6));
}

/// Without magnets torque is (m/2) p (L_d − L_q) I²/2 sin 2β at the current angle β: the component of twice the angle,
/// and nothing beside it, in a machine of constant permeability; means over one ripple period.
TEST(TorqueSpeed, ReluctanceTorqueIsTheSineOfTwiceTheAngle) {
  std::string text = replaced(machine("reluctance-motor"), "\"M270-50A\"", "\"linear-steel\"");
  SteadyCase m(replaced(text, "coil_span = 8", "coil_span = 9"), 0.5);
  SteadyState state(m.context, steady_options(m.context, 12));
  const double i = 20, step = pi / 12;
  double sine = 0, cosine = 0, largest = 0;
  std::vector<double> torque;
  for (int k = 0; k < 12; ++k) {  // half a turn of β: T repeats
    torque.push_back(state.at(std::polar(i, k * step), 0).torque);
    sine += torque.back() * std::sin(2 * k * step) / 6;
    cosine += torque.back() * std::cos(2 * k * step) / 6;
  }
  for (int k = 0; k < 12; ++k)
    largest = std::max(largest, std::abs(torque[static_cast<size_t>(k)] - sine * std::sin(2 * k * step)));
  const double l_d = state.at({i, 0}, 0).linkage.real() / i, l_q = state.at({0, i}, 0).linkage.imag() / i;
  const std::string source = "(m/2) p (L_d - L_q) I^2/2 sin 2 beta";
  // 1e-3 of the sine: on one mesh the mean over a sixth of a period and the energy close to that only.
  test::record_check("reluctance torque, component of twice the angle", sine / (1.5 * 2 * (l_d - l_q) * i * i / 2), 1,
                     1e-3, "1", source, test::kClosedForm);
  test::record_at_most("reluctance torque, all that is not that component", largest / sine, 1e-3, "1", source,
                       test::kClosedForm);
  EXPECT_LT(std::abs(cosine), 1e-3 * sine);
}

TEST(TorqueSpeed, PowersBalanceWithIronLoss) {
  SteadyCase m(
      machine("v-magnet-motor") + study_text("torque-speed",
                                             "lines = 4\npositions = 3\nspeeds = 7\ntorques = 5\nloss_lines = 3\n"
                                             "loss_positions = 12\naccuracy = 0.02\n"),
      coarse);
  const StudyResult result = run_study(m, 0);
  const auto of = [&](const char* name) { return column(result, "limits", name).values; };
  const std::vector<double> u = of("U_phase"), i = of("I_phase"), factor = of("power_factor"), shaft = of("P_shaft"),
                            copper = of("copper_loss"), iron = of("iron_loss"), speed = of("speed");
  ASSERT_EQ(u.size(), 7u);
  for (size_t k = 1; k < u.size(); ++k) {
    EXPECT_GT(iron[k], 0);
    EXPECT_NEAR(3 * u[k] * i[k] * factor[k], shaft[k] + copper[k] + iron[k], 1e-6 * shaft[k]) << k;
    // Of the air gap's power, while U is that of the linkages: three positions leave ripple between them.
    EXPECT_GT(factor[k], 0.5);
    EXPECT_LT(factor[k], 1.02);
  }
  EXPECT_GT(value(result, "efficiency_most"), value(result, "efficiency"));
  EXPECT_LT(value(result, "efficiency_most"), 1);
  ASSERT_EQ(result.results.contour_maps.size(), 2u);
}

/// A voltage that the resistance alone takes up, and one that ends the speeds early.
TEST(TorqueSpeed, LittleVoltageIsToldAsSuch) {
  const std::string quick = "lines = 4\npositions = 2\niron_loss = false\nspeeds = 7\ntorques = 4\naccuracy = 0.1\n";
  SteadyCase m(machine("v-magnet-motor") + study_text("torque-speed", quick + "voltage = \"2 V\"\n") +
                   study_text("torque-speed", quick + "voltage = \"20 V\"\nphase_resistance = \"0 ohm\"\n"),
               coarse);
  const StudyResult none = run_study(m, 0), low = run_study(m, 1);
  ASSERT_EQ(none.results.warnings.size(), 2u);
  EXPECT_NE(none.results.warnings[0].find("voltage drop at rest"), std::string::npos);
  EXPECT_EQ(value(none, "base_speed"), 0);
  ASSERT_FALSE(low.results.warnings.empty());
  EXPECT_NE(low.results.warnings[0].find("no torque is left past"), std::string::npos);
}

std::string fault(const std::string& text) {
  SteadyCase m(text, coarse, 1);
  try {
    run_study(m, 0);
  } catch (const InputError& error) {
    return to_text(error.diagnostics().at(0));
  }
  return "";
}

TEST(TorqueSpeed, SaysWhatDoesNotFit) {
  const std::string text =
      replaced(machine("v-magnet-motor"), "stator_material = \"demo-steel\"", "stator_material = \"M270-50A\"");
  for (const char* type : {"torque-speed", "iron-loss"}) {
    const std::string words = fault(text + study_text(type, ""));
    EXPECT_NE(words.find("M270-50A.toml"), std::string::npos) << words;
  }
  EXPECT_NE(fault(small_salient_machine(false) + study_text("torque-speed", "")).find("rotor with field winding"),
            std::string::npos);
  EXPECT_NE(fault(machine("cage-motor") + study_text("iron-loss", "")).find("cage rotor"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
