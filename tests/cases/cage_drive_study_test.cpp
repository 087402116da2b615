// acceleration and torque-speed of the ready cage motor with rings, coarse meshes.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/cage_case_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

std::string refusal(const std::string& type, const std::string& lines) {
  try {
    SteadyCase machine(cage_motor() + study_text(type, lines), 0.2);
    run_study(machine, 0);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

std::vector<double> values_of(const StudyResult& r, const std::string& name) {
  std::vector<double> values;
  for (const Quantity& q : r.results.quantities)
    if (q.name == name) values.push_back(q.value);
  return values;
}

/// Without load the rotor's heat is ½ J Ω_s² (1 − s²) at the slip 0.01 of the end (formula). Bars and rings are the
/// fields' own losses, so this also tests the curves between the slips: 1 %, of which the spline through nine fields
/// may take some parts in a thousand. The heat per mass is the bars' over the description's mass.
TEST(Acceleration, UnloadedStartHeatsTheRotorByTheKineticEnergy) {
  SteadyCase machine(cage_motor() + study_text("acceleration",
                                               "inertia = \"0.4 kg m2\"\nslips = [0.01, 0.03, 0.06, "
                                               "0.1, 0.16, 0.25, 0.4, 0.65]\n"),
                     0.2);
  const StudyResult r = run_study(machine, 0);
  const double synchronous = 50 * 3.14159265358979323846, kinetic = 0.5 * 0.4 * synchronous * synchronous;
  const double heat = value(r, "run_up_bar_heat") + value(r, "run_up_ring_heat");
  EXPECT_NEAR(heat, kinetic * (1 - 1e-4), 0.01 * kinetic);
  EXPECT_NEAR(value(r, "final_speed"), 1500, 1e-3);  // rpm; torque at synchronism is 0 to the solver's 1e-8
  EXPECT_NEAR(value(r, "kinetic_energy"), kinetic * 0.99 * 0.99, 1e-6 * kinetic);
  // Between the start at the least and at the largest torque alone.
  const std::vector<double>& torque = r.results.curves.at(1).columns[1].values;
  const auto [least, most] = std::minmax_element(torque.begin(), torque.end() - 10);
  EXPECT_GT(value(r, "run_up_time"), 0.4 * 0.99 * synchronous / *most);
  EXPECT_LT(value(r, "run_up_time"), 0.4 * 0.99 * synchronous / *least);
}

TEST(Acceleration, LoadsThatHoldTheMotorAreTold) {
  const std::string slips = "slips = [0.03, 0.1, 0.25, 0.5]\ninertia = \"1 kg m2\"\n";
  EXPECT_NE(refusal("acceleration", slips + "load_torque = \"400 N m\"\n").find("the motor does not start"),
            std::string::npos);
}

/// V/f: in constant ratio the largest torque falls where R_1 counts beside ω L (low frequency), boost lifts it, and
/// over rated frequency at held voltage it falls nearly with 1/f² (formula, R_1 and the slip's place aside: 10 %).
TEST(CageTorqueSpeed, VoltageRisesWithTheFrequency) {
  const std::string lines = "frequencies = [\"5 Hz\", \"50 Hz\", \"70 Hz\"]\nslip_points = 9\n";
  SteadyCase machine(cage_motor() + study_text("torque-speed", lines) +
                         study_text("torque-speed", "frequencies = [\"5 Hz\"]\nslip_points = 9\nboost = \"20 V\"\n"),
                     0.2);
  const StudyResult plain = run_study(machine, 0), boosted = run_study(machine, 1);
  const std::vector<double> most = values_of(plain, "breakdown_torque");
  ASSERT_EQ(most.size(), 3u);
  EXPECT_LT(most[0], 0.6 * most[1]);
  EXPECT_GT(values_of(boosted, "breakdown_torque").at(0), 1.5 * most[0]);
  EXPECT_NEAR(most[2] / most[1], std::pow(50.0 / 70, 2), 0.1 * std::pow(50.0 / 70, 2));
  EXPECT_EQ(plain.results.constructions.at(0).lines.size(), 4u);
  const std::vector<Column>& frequencies = plain.results.curves.back().columns;
  EXPECT_NEAR(frequencies[1].values[0], 40, 1e-9);
  EXPECT_NEAR(frequencies[1].values[2], 400, 1e-9);
  EXPECT_NE(refusal("torque-speed", "lines = 7\n").find("does not fit a rotor with a cage"), std::string::npos);
  EXPECT_NE(refusal("torque-speed", "boost = \"500 V\"\n").find("more than the largest voltage"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
