// Time-harmonic fields of concentric machines: TEAM Workshop Problem 30a against a layered solution and the published
// rows, a solid cylinder against its closed form with the rate at which the mesh comes to it, and the balance of
// powers.
#include "solver/time_harmonic_field.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "tests/cases/case_text_helper.h"
#include "tests/physics/layered_eddy_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/physics/team_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi;
LayeredMachine team_machine(bool three_phase) {
  LayeredMachine m;
  m.rotor = {{0.02, 30, 1.6e6}, {0.03, 1, 3.72e7}};
  m.shell_inner = 0.032, m.shell_outer = 0.052, m.steel_outer = 0.057, m.steel_mu_r = 30, m.zone_width = pi / 4;
  // Phase A's MMF axis lies at angle 0: its positive side is centred at −90°.
  for (int k = 0; k < 6; ++k) {
    const int phase[] = {0, 2, 1, 0, 2, 1};
    if (!three_phase && phase[k] != 0) continue;
    const double peak = std::sqrt(2.0) * kTeamDensity * (k % 2 ? -1 : 1);
    m.zones.push_back({-pi / 2 + k * pi / 3, std::polar(peak, three_phase ? -2 * pi / 3 * phase[k] : 0.0)});
  }
  return m;
}

TeamRow found_row(TimeHarmonicField& field, bool three_phase, double speed) {
  const HarmonicSolution s =
      field.solve({team_currents(three_phase), kTeamOmega, speed, 0}, GapCoupling::own_frequency);
  TeamRow row{speed, s.torque, kTeamOmega * std::abs(field.linkages(s)[0]) / std::sqrt(2.0), s.rotor_loss(), 0};
  for (size_t r = 0; r < s.loss.size(); ++r)
    if (field.section().regions[r].material == "linear-steel") row.steel_loss += s.loss[r];
  EXPECT_NEAR(s.rotor_loss_by_torque(), s.rotor_loss(), 1e-8 * s.rotor_loss()) << speed;
  return row;
}

TeamRow layered_row(bool three_phase, double speed) {
  const LayeredResult l = layered_field(team_machine(three_phase), kTeamOmega, speed);
  const Complex go = l.zone_potential[0], back = l.zone_potential[three_phase ? 3 : 1];
  return {speed, l.torque, kTeamOmega * std::abs(go - back) / std::sqrt(2.0), l.loss[0] + l.loss[1], l.loss[0]};
}

/// 1e-4 of the layered solution, whose own orders and steps leave 1e-8; the mesh's error is below 5e-5 at this density.
void expect_near_layered(const TeamRow& found, const TeamRow& exact) {
  EXPECT_NEAR(found.torque, exact.torque, 1e-4 * std::abs(exact.torque)) << exact.speed;
  EXPECT_NEAR(found.voltage, exact.voltage, 1e-4 * exact.voltage) << exact.speed;
  EXPECT_NEAR(found.loss, exact.loss, 1e-4 * exact.loss) << exact.speed;
  EXPECT_NEAR(found.steel_loss, exact.steel_loss, 1e-4 * exact.steel_loss) << exact.speed;
}

void expect_published(const std::string& name, const TeamRow& found, const TeamRow& table) {
  const std::string at = "TEAM 30a, " + name + ", " + fmt::format("{:.0f} rad/s: ", table.speed);
  const auto check = [&](const std::string& what, double value, double published) {
    record_check(at + what + " over the table's", value / published, 1, 1e-3, "1", kTeamSource, kPublished);
  };
  check("torque", found.torque, table.torque);
  check("voltage", found.voltage, table.voltage);
  check("rotor loss", found.loss, table.loss);
  check("steel loss", found.steel_loss, table.steel_loss);
}

TEST(TimeHarmonicField, TeamProblem30aThreePhase) {
  auto machine = make_machine(team_text(), 1.3, team_materials());
  TimeHarmonicField field(machine->section, machine->mesh, machine->kase.materials);
  for (const TeamRow& row : kTeamThreePhase) {
    const TeamRow found = found_row(field, true, row.speed);
    expect_near_layered(found, layered_row(true, row.speed));
    expect_published("three phase", found, row);
  }
}

TEST(TimeHarmonicField, TeamProblem30aSinglePhase) {
  auto machine = make_machine(team_text(), 1.3, team_materials());
  TimeHarmonicField field(machine->section, machine->mesh, machine->kase.materials);
  for (const TeamRow& row : kTeamSinglePhase) {
    const TeamRow found = found_row(field, false, row.speed);
    expect_near_layered(found, layered_row(false, row.speed));
    expect_published("single phase", found, row);
  }
}

/// A solid cylinder of radius a in a turning field: k² = jωμσ, torque per metre (π a²/μ0) Re[j B0² (1 + C)(1 − C)*]
/// with C = (I1 − Q)/(I1 + Q) (formula); here by the layered solution, under the same winding. Second-order elements:
/// energies, hence torques, come to the exact ones with the fourth power of the edge; over 3.6 is asked for.
TEST(TimeHarmonicField, SolidCylinderTorqueComesWithTheMeshsFourthPower) {
  std::string text = replaced(team_text(), "[\"40 mm\", \"60 mm\"]", "[\"60 mm\"]");
  text = replaced(text, "[\"linear-steel\", \"benchmark-aluminium\"]", "[\"benchmark-aluminium\"]");
  LayeredMachine m = team_machine(true);
  m.rotor = {{0.03, 1, 3.72e7}};
  const double exact = layered_field(m, kTeamOmega, 200).torque;
  std::vector<double> errors, sizes;
  for (double density : {0.25, 0.5, 1.0}) {
    auto machine = make_machine(text, density, team_materials());
    SolverOptions options;
    options.harmonics_share = 0.4;
    TimeHarmonicField field(machine->section, machine->mesh, machine->kase.materials, options);
    const double torque = field.solve({team_currents(true), kTeamOmega, 200, 0}, GapCoupling::own_frequency).torque;
    errors.push_back(std::abs(torque - exact) / exact);
    sizes.push_back(std::sqrt(static_cast<double>(machine->mesh.triangles.size())));
  }
  const double slope = std::log(errors[0] / errors[2]) / std::log(sizes[2] / sizes[0]);
  record_at_least("solid cylinder: rate of the torque", slope, 3.6, "1", "second-order elements (formula)", kRate);
  EXPECT_LT(errors[2], 1e-5);
}

/// The closed form of values of physics for the cylinder alone, so that the helper itself is held by something outside:
/// 20 mm, 3.5e7 S/m in a field of 0.1 T that turns with 50 Hz: 7.490951 N m/m (formula, modified Bessel functions).
TEST(TimeHarmonicField, LayeredSolutionGivesTheSolidCylindersClosedForm) {
  LayeredMachine m;
  m.rotor = {{0.02, 1, 3.5e7}};
  // A far shell of one order makes a uniform field: B0 = μ0 J w/(…), found from the field without conductor.
  m.shell_inner = 0.9, m.shell_outer = 1.0, m.steel_outer = 1.1, m.zone_width = pi / 200;
  for (int k = 0; k < 400; ++k) m.zones.push_back({2 * pi * k / 400, std::polar(1e5, -2 * pi * k / 400)});
  const double omega = 2 * pi * 50;
  // μ0 J (r2 − r1)/2 is the uniform field of a shell J sin φ in air (formula).
  const double b0 = 4e-7 * pi * 1e5 * 0.1 / 2;
  const double torque = layered_field(m, omega, 0, 1).torque * std::pow(0.1 / b0, 2);
  record_check("solid cylinder in a turning field, 50 Hz", torque, 7.490951, 4e-4 * 7.49, "N m/m",
               "modified Bessel functions (formula)", kClosedForm);
}

/// The three couplings agree where only the fundamental is excited enough to matter; `fundamental` closes its powers.
TEST(TimeHarmonicField, CouplingsAgreeOnTheFundamental) {
  auto machine = make_machine(team_text(), 0.5, team_materials());
  TimeHarmonicField field(machine->section, machine->mesh, machine->kase.materials);
  const HarmonicExcitation e{team_currents(true), kTeamOmega, 200, 0};
  const HarmonicSolution own = field.solve(e, GapCoupling::own_frequency);
  const HarmonicSolution alone = field.solve(e, GapCoupling::fundamental);
  const HarmonicSolution all = field.solve(e, GapCoupling::all_harmonics);
  const auto fundamental = [](const HarmonicSolution& s) {
    for (const HarmonicOrder& o : s.orders)
      if (o.order == 1) return o.torque;
    return 0.0;
  };
  EXPECT_NEAR(fundamental(own), 6.5678, 1e-3 * 6.5678);  // published with the problem: the fundamental alone
  EXPECT_NEAR(fundamental(alone), fundamental(own), 2e-5 * 6.5678);
  EXPECT_NEAR(fundamental(all), fundamental(own), 1e-6 * 6.5678);
  EXPECT_NEAR(alone.rotor_loss_by_torque(), alone.rotor_loss(), 1e-6 * alone.rotor_loss());
  EXPECT_EQ(alone.torque, fundamental(alone));
  // One slip for every order, as if all turned together: by position, and not what the orders do.
  EXPECT_GT(std::abs(all.torque - own.torque), 1e-3 * own.torque);
}

TEST(TimeHarmonicField, PartsWithABHCurveAreRefused) {
  auto machine = make_machine(case_text("cage"), 0.3);
  EXPECT_THROW(TimeHarmonicField(machine->section, machine->mesh, machine->kase.materials), InputError);
}

}  // namespace
}  // namespace polepitch::test
