// Is `error` honest where a study searches and constructs: characteristics, pull-out, waveforms? On coarse meshes of
// small machines against converged values kept beside (error_samples_helper.h, sample_stored).
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/cases/case_text_helper.h"
#include "tests/physics/error_samples_helper.h"
#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

const std::vector<double> kStarts = {0.12, 0.13, 0.14, 0.15, 0.16, 0.17, 0.18};
/// All of them (20 samples a quantity and more, minutes) where POLEPITCH_ERROR_SAMPLES=all stands in the environment;
/// else two fifths.
bool takes_all() {
  return std::getenv("POLEPITCH_ERROR_SAMPLES") != nullptr;
}
std::vector<double> starts() {
  return takes_all() ? kStarts : std::vector<double>{kStarts[0], kStarts[3], kStarts[6]};
}
size_t least() {
  return takes_all() ? 20 : 9;
}
constexpr double kMostTriangles = 2100;

std::string salient_machine(const std::string& voltage) {
  return replaced(replaced(case_text("salient"), "\"M400-50A\"", "\"demo-steel\""), "\"400 V\"", "\"" + voltage + "\"");
}

std::string study(const std::string& type, const std::string& lines) {
  return fmt::format("\n[[study]]\ntype = \"{}\"\n{}", type, lines);
}

bool writes_truth() {
  return std::getenv("POLEPITCH_ERROR_TRUTH") != nullptr;
}

/// Searched for on the curve of torque over load angle. The angle at the flat maximum is known better than the estimate
/// says.
TEST(ErrorOfStudies, PullOut) {
  std::string text = salient_machine("330 V");
  for (const char* point : {"power_factor = 0.8\n", "power = \"12 kW\"\npower_factor = 0.9\noperation = \"motor\"\n",
                            "power = \"10 kW\"\npower_factor = 0.9\nexcitation = \"under-excited\"\n"})
    text += study("load-angle", fmt::format("positions = 1\nangles = 8\nphase_resistance = \"0.2 ohm\"\n{}", point));
  Samples samples;
  sample_stored(read_case_text(text), "load-angle", "pull-out", kMostTriangles, starts(), samples);
  if (writes_truth()) return;
  judge(samples,
        {"i_field", "pull_out_torque", "pull_out_ratio", "pull_out_power", "swing_load",
         "two_reactance_pull_out_torque", "two_reactance_pull_out_torque_unsaturated", "two_reactance_pull_out_angle"},
        {"pull_out_angle", "swing_slip_time", "two_reactance_deviation", "two_reactance_pull_out_angle_unsaturated"},
        least());
}

/// Read from curves and constructed, at rated voltages under, in and over the bend of the no-load curve.
TEST(ErrorOfStudies, Characteristics) {
  Samples samples;
  for (const char* volts : {"290", "310", "330"}) {
    const std::string text =
        salient_machine(std::string(volts) + " V") +
        study("characteristics", "positions = 1\npoints = 4\nemf_positions = 12\ncogging_angles = 4\n");
    sample_stored(read_case_text(text), "characteristics", std::string("characteristics-") + volts, kMostTriangles,
                  kStarts, samples);
  }
  if (writes_truth()) return;
  judge(samples, {"X_d_unsaturated", "i_field_air_gap", "air_gap_slope"},
        {"saturation_factor",
         "saturation_factor_120",
         "short_circuit_ratio",
         "X_d_saturated",
         "X_potier",
         "i_field_no_load",
         "i_field_short_circuit",
         "i_field_zero_power_factor",
         "i_field_armature_reaction",
         "i_field_rated_potier",
         "i_field_rated_increment",
         "emf_distortion",
         "emf_distortion_line",
         "harmonic_voltage_factor",
         "emf_peak",
         "torque_cogging",
         "E_phase",
         "B_pole_core",
         "B_pole_core_third",
         "B_pole_shoe"},
        least());
}

/// Waveforms and cogging of magnets, buried and on the surface.
TEST(ErrorOfStudies, WaveformsOfMagnets) {
  Samples samples;
  for (const char* machine : {"buried-magnet-motor", "surface-magnet-motor"}) {
    const Case ready = read_case(std::string(SOURCE_DIR) + "/cases/machines/" + machine + ".toml");
    std::string text = ready.text.substr(0, ready.text.find("[[study]]"));
    text = replaced(text, "mesh.accuracy = 0.002", "");
    for (const char* lines : {"positions = 1\nemf_positions = 12\ncogging_angles = 6\n",
                              "positions = 2\nemf_positions = 20\ncogging_angles = 5\n"})
      text += study("open-circuit", lines);
    sample_stored(read_case_text(text), "open-circuit", machine, kMostTriangles, starts(), samples);
  }
  if (writes_truth()) return;
  judge(samples, {},
        {"emf_distortion", "emf_distortion_line", "harmonic_voltage_factor", "emf_peak", "torque_cogging",
         "knee_reached"},
        least());
}

/// Found at given voltage: with the power factor, with the field current, of a motor.
TEST(ErrorOfStudies, LoadPoints) {
  std::string text = salient_machine("330 V");
  for (const char* point : {"power_factor = 0.8\n", "power = \"12 kW\"\npower_factor = 0.9\noperation = \"motor\"\n",
                            "power = \"10 kW\"\nfield_current = \"16 A\"\n"})
    text += study("load-point",
                  fmt::format("positions = 2\nloss_positions = 12\nphase_resistance = \"0.2 ohm\"\n{}", point));
  Samples samples;
  sample_stored(read_case_text(text), "load-point", "load-points", kMostTriangles, starts(), samples);
  if (writes_truth()) return;
  judge(samples, {"i_d", "i_q", "load_angle", "torque_angle", "E_frozen", "X_d_apparent", "X_q_apparent"},
        {"E_0", "lambda_d", "lambda_q", "synchronising_torque", "iron_loss_stator", "iron_loss_rotor", "efficiency"},
        least());
}

/// Given currents at one position of a machine with saturated teeth on both sides, from next to no torque to overload.
/// One mesh where not all are asked for: its adaption is what takes the time.
TEST(ErrorOfStudies, GivenCurrents) {
  const Case ready = read_case(std::string(SOURCE_DIR) + "/cases/machines/cage-motor.toml");
  std::string text = ready.text.substr(0, ready.text.find("[mesh]"));
  for (const char* load :
       {"phase_current = \"14 A\"\n", "phase_current = \"25 A\"\nbar_current = \"350 A\"\nbar_angle = \"-150 deg\"\n",
        "phase_current = \"60 A\"\nbar_current = \"900 A\"\nbar_angle = \"-165 deg\"\n"})
    text += study("operating-point", std::string("positions = 1\nrotor_angle = \"3.7 deg\"\n") + load);
  Samples samples;
  sample_stored(read_case_text(text), "operating-point", "given-currents", 3 * kMostTriangles,
                takes_all() ? kStarts : std::vector<double>{kStarts[3]}, samples);
  if (writes_truth()) return;
  judge(samples, {},
        {"torque_mean",
         "torque_arkkio_stator",
         "torque_arkkio_rotor",
         "torque_virtual_work_rotor",
         "torque_virtual_work_stator",
         "torque_dq",
         "E_phase",
         "lambda_0",
         "B_r1",
         "B_r_mean",
         "B_r_peak",
         "B_r_harmonic_content",
         "B_theta1",
         "Phi_gap",
         "Phi_s",
         "equivalent_gap",
         "B_rotor_tooth",
         "B_rotor_tooth_third",
         "B_stator_tooth",
         "B_stator_tooth_third",
         "B_stator_yoke",
         "B_rotor_yoke"},
        takes_all() ? 20 : 3);
}

}  // namespace
}  // namespace polepitch::test
