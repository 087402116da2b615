// TEAM Workshop Problem 30a stepped in time: a solid rotor that turns under a winding of given currents, against the
// published rows.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "solver/time_harmonic_field.h"
#include "solver/transient_field.h"
#include "tests/physics/machine_helper.h"
#include "tests/physics/team_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double pi = std::numbers::pi;

class Team {
 public:
  Team() : machine_(make_machine(team_text(), 0.8, team_materials())) {
    for (const Region& r : machine_->section.regions)
      options_.conductivity.push_back(is_solid_part(r) ? machine_->kase.materials.at(r.material).conductivity : 0);
  }

  /// Means over the last of `periods`, started from the time-harmonic field.
  TeamRow row(bool three_phase, double speed, int periods, int steps) {
    const std::vector<Complex> currents = team_currents(three_phase);
    TimeHarmonicField harmonic(machine_->section, machine_->mesh, machine_->kase.materials);
    const HarmonicSolution start = harmonic.solve({currents, kTeamOmega, speed, 0}, GapCoupling::own_frequency);
    TransientField field(machine_->section, machine_->mesh, machine_->kase.materials, {}, options_);
    Circuits fed;
    fed.turns.resize(3, 0), fed.resistance.resize(0, 0), fed.inductance.resize(0, 0);
    fed.fed = [currents](double t) {
      std::vector<double> now;
      for (const Complex& i : currents) now.push_back(std::real(i * std::polar(1.0, kTeamOmega * t)));
      return now;
    };
    field.connect(fed);
    std::vector<double> a;
    for (const Complex& value : start.a) a.push_back(value.real());
    TransientState state = field.start(a, {}, 0, speed);
    TeamRow sum{speed, 0, 0, 0, 0};
    Complex linkage = 0;
    const double h = 2 * pi / kTeamOmega / steps;
    for (int k = 1; k <= periods * steps; ++k) {
      state = field.step(state, {}, h).state;
      if (k <= (periods - 1) * steps) continue;
      sum.torque += state.torque / steps;
      linkage += 2.0 / steps * field.linkages(state)[0] * std::polar(1.0, -kTeamOmega * state.time);
      const std::vector<double> losses = field.eddy_losses(state);
      for (size_t r = 0; r < losses.size(); ++r) {
        sum.loss += losses[r] / steps;
        if (machine_->section.regions[r].material == "linear-steel") sum.steel_loss += losses[r] / steps;
      }
    }
    sum.voltage = kTeamOmega * std::abs(linkage) / std::sqrt(2.0);
    return sum;
  }

 private:
  std::unique_ptr<TestMachine> machine_;
  TransientOptions options_;
};

void expect_published(const std::string& name, const TeamRow& found, const TeamRow& table, double tolerance) {
  const auto check = [&](const std::string& what, double value, double published) {
    record_check("TEAM 30a stepped in time, " + name + ", " + fmt::format("{:.0f} rad/s: ", table.speed) + what +
                     " over the table's",
                 value / published, 1, tolerance, "1", kTeamSource, kPublished);
  };
  check("torque", found.torque, table.torque);
  check("voltage", found.voltage, table.voltage);
  check("rotor loss", found.loss, table.loss);
  check("steel loss", found.steel_loss, table.steel_loss);
}

TEST(TransientTeam, ThreePhase) {
  Team team;
  for (const TeamRow& table : kTeamThreePhase)
    expect_published("three phase", team.row(true, table.speed, 2, 120), table, 3e-3);
}

TEST(TransientTeam, SinglePhase) {
  Team team;
  for (const TeamRow& table : kTeamSinglePhase)
    expect_published("single phase", team.row(false, table.speed, 5, 120), table, 1e-2);
}

}  // namespace
}  // namespace polepitch::test
