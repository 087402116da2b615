// Is `error` honest? Every watched quantity, at several rotor angles and load points, on several meshes of four
// machines, against a far finer mesh. A later quantity joins by a line in kWatched or kWatchedAtLoad.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/cases/case_text_helper.h"
#include "tests/physics/error_samples_helper.h"
#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

const std::vector<std::string> kWatched = {"torque_mean",
                                           "lambda_d",
                                           "lambda_q",
                                           "E_phase",
                                           "B_r1",
                                           "B_stator_tooth",
                                           "X_d_apparent",
                                           "X_q_apparent",
                                           "X_ad",
                                           "X_aq",
                                           "X_l",
                                           "X_slot_d",
                                           "X_slot_q",
                                           "X_tooth_tip_d",
                                           "X_tooth_tip_q",
                                           "X_l_d",
                                           "X_l_q",
                                           "X_0",
                                           "X_fd",
                                           "X_d_transient",
                                           "X_magnetising_d",
                                           "X_differential_q",
                                           "X_magnetising_q",
                                           "X_dq_apparent",
                                           "X_qd_apparent",
                                           "X_dq_incremental",
                                           "X_qd_incremental",
                                           "torque_arkkio_stator",
                                           "torque_arkkio_rotor",
                                           "torque_virtual_work_rotor",
                                           "torque_dq",
                                           "torque_uniform_gap",
                                           "lambda_0",
                                           "lambda_field",
                                           "B_r_mean",
                                           "B_theta1",
                                           "Phi_gap",
                                           "Phi_r",
                                           "Phi_s",
                                           "equivalent_gap",
                                           "B_stator_tooth_third",
                                           "B_rotor_tooth",
                                           "B_rotor_tooth_third",
                                           "B_stator_yoke",
                                           "B_rotor_yoke",
                                           "X_d_incremental",
                                           "X_df"};

// At given voltage and power, on a machine that the factors were not fitted to. Of the cautious ones the estimate holds
// but is larger than it need be (median below 0.3): the voltage that is held ties them down more than the linkages that
// the estimate leans on, or what the field's error makes of them at worst rules.
const std::vector<std::string> kWatchedAtLoad = {"i_field", "i_d", "X_q_apparent", "load_angle", "lambda_q"};
const std::vector<std::string> kCautiousAtLoad = {"E_0",
                                                  "E_frozen",
                                                  "lambda_d",
                                                  "X_d_apparent",
                                                  "B_stator_tooth",
                                                  "copper_loss_field",
                                                  "copper_loss_stator",
                                                  "iron_loss",
                                                  "hysteresis_loss",
                                                  "classical_loss",
                                                  "excess_loss",
                                                  "P_shaft",
                                                  "torque_mean",
                                                  "torque_angle",
                                                  "i_q",
                                                  "iron_loss_stator",
                                                  "iron_loss_rotor",
                                                  "synchronising_torque",
                                                  "B_stator_tooth_third",
                                                  "B_stator_yoke",
                                                  "B_pole_core",
                                                  "B_pole_core_third",
                                                  "B_pole_shoe",
                                                  "B_rotor_yoke",
                                                  "efficiency",
                                                  "power_balance"};

struct MachineLoad {
  std::string name, currents;
};
const std::vector<MachineLoad> kMachines = {
    {"salient-generator", "phase_current = \"65 A\"\ncurrent_angle = \"-145 deg\"\nfield_current = \"16 A\"\n"},
    {"cage-motor", "phase_current = \"40 A\"\nbar_current = \"610 A\"\nbar_angle = \"-160 deg\"\n"},
    {"six-pole-cage-motor", "phase_current = \"65 A\"\nbar_current = \"855 A\"\nbar_angle = \"-157 deg\"\n"}};

/// The ready case with other studies: three positions each at three rotor angles.
Case machine_case(const MachineLoad& load) {
  Case kase = read_case(std::string(SOURCE_DIR) + "/cases/machines/" + load.name + ".toml");
  std::string text = kase.text.substr(0, kase.text.find("[[study]]"));
  for (const double angle : {0.4, 3.7, 8.2})
    for (const char* type : {"operating-point", "reactances"})
      text += fmt::format("\n[[study]]\ntype = \"{}\"\n{}positions = 3\nrotor_angle = \"{} deg\"\n", type,
                          load.currents, angle);
  return read_case_text(text);
}

// Bounds: judge in error_samples_helper.h. Cautious: the q axis, with more of it, rules both axes' differential
// leakage; of both incremental reactances the d axis does.
const std::vector<std::string> kCautious = {"X_differential_d", "torque_virtual_work_stator", "X_q_incremental",
                                            "B_r_harmonic_content", "B_r_peak"};

TEST(ErrorQuality, EstimatesHoldOverQuantitiesAnglesAndMeshes) {
  Samples samples;
  for (const MachineLoad& load : kMachines) sample_case(machine_case(load), "operating-point", 19000, samples);
  judge(samples, kWatched, kCautious);
  size_t all = 0;
  for (const std::string& name : kWatched) all += samples[name].size();
  EXPECT_GE(all, 300u);
}

/// Load points of a machine that the factors were not fitted to: what is found at given voltage and power.
TEST(ErrorQuality, EstimatesHoldAtLoadPoints) {
  std::string text = replaced(case_text("salient"), "\"M400-50A\"", "\"demo-steel\"");
  for (const char* point : {"power_factor = 0.8\n", "power_factor = 1\n", "power_factor = 0.9\noperation = \"motor\"\n",
                            "power = \"10 kW\"\npower_factor = 0.9\nexcitation = \"under-excited\"\n",
                            "power = \"12 kW\"\npower_factor = 0.9\noperation = \"motor\"\n",
                            "power = \"6 kW\"\nfield_current = \"70 A\"\noperation = \"motor\"\n"})
    text += fmt::format(
        "\n[[study]]\ntype = \"load-point\"\npositions = 3\nloss_positions = 12\nphase_resistance = \"0.2 ohm\"\n{}",
        point);
  Samples samples;
  sample_case(read_case_text(text), "load-point", 12000, samples);
  judge(samples, kWatchedAtLoad, kCautiousAtLoad);
}

std::string salient_machine() {
  return replaced(case_text("salient"), "\"M400-50A\"", "\"demo-steel\"");
}

std::string study(const std::string& type, const std::string& lines) {
  return fmt::format("\n[[study]]\ntype = \"{}\"\n{}", type, lines);
}

const std::vector<std::string> kCautiousOfMaps = {"flux-map.map.torque",
                                                  "flux-map.map.L_d_chord",
                                                  "flux-map.map.L_q_chord",
                                                  "flux-map.map.L_d_incremental",
                                                  "flux-map.map.L_q_incremental",
                                                  "flux-map.map.L_dq_incremental",
                                                  "flux-map.map.L_qd_incremental",
                                                  "current_angle_mtpa",
                                                  "i_d",
                                                  "i_q",
                                                  "base_speed",
                                                  "torque_limit",
                                                  "power_factor",
                                                  "efficiency_most",
                                                  "torque-speed.limits.shaft_torque",
                                                  "torque-speed.limits.gap_torque",
                                                  "torque-speed.limits.P_shaft",
                                                  "torque-speed.limits.i_d",
                                                  "torque-speed.limits.i_q",
                                                  "torque-speed.limits.power_factor",
                                                  "torque-speed.limits.efficiency",
                                                  "torque-speed.efficiency_points.I_phase",
                                                  "torque-speed.efficiency_points.U_phase",
                                                  "torque-speed.efficiency_points.copper_loss",
                                                  "torque-speed.efficiency_points.shaft_torque",
                                                  "torque-speed.most_torque_per_ampere.torque",
                                                  "torque-speed.most_torque_per_ampere.current_angle",
                                                  "torque-speed.most_torque_per_ampere.i_d",
                                                  "torque-speed.most_torque_per_ampere.i_q"};

/// Points of a map, and what limits and most torque per ampere make of it. Angles at the flat maximum of torque, and
/// torque in the mean over positions, are known better than the estimate says.
TEST(ErrorQuality, EstimatesHoldOfFluxMaps) {
  Samples samples;
  sample_coarse(read_case_text(salient_machine() + study("flux-map",
                                                         "field_currents = [\"5 A\", \"20 A\"]\npositions = 2\n"
                                                         "lines_d = 4\nlines_q = 4\nlargest_points = 9\n")),
                "flux-map", 6000, 2, samples);
  const Case kase = read_case(std::string(SOURCE_DIR) + "/cases/machines/buried-magnet-motor.toml");
  std::string motor = kase.text.substr(0, kase.text.find("[[study]]"));
  for (int amperes : {60, 80, 100})
    motor += study("torque-speed",
                   fmt::format("positions = 1\niron_loss = false\nlines = 4\naccuracy = 1\nspeeds = 5\ntorques = 4\n"
                               "largest_current = \"{} A\"\n",
                               amperes));
  sample_coarse(read_case_text(motor), "torque-speed", 6000, 7, samples);
  judge(samples, {"flux-map.map.lambda_d", "flux-map.map.lambda_q", "flux-map.map.lambda_field"}, kCautiousOfMaps);
}

}  // namespace
}  // namespace polepitch::test
