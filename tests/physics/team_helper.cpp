#include "tests/physics/team_helper.h"

#include <cmath>
#include <numbers>

#include "tests/cases/case_text_helper.h"

namespace polepitch::test {

constexpr double pi_ = std::numbers::pi;

std::string team_text() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/solid-rotor-machine.toml");
  text.resize(text.find("[[study]]"));
  return text;
}

Materials team_materials() {
  Material aluminium;
  aluminium.name = "benchmark-aluminium", aluminium.kind = "conductor", aluminium.conductivity = 3.72e7;
  Material steel;
  steel.name = "linear-steel", steel.kind = "steel", steel.conductivity = 1.6e6, steel.mu_r = 30;
  return {{"benchmark-aluminium", aluminium}, {"linear-steel", steel}};
}

std::vector<std::complex<double>> team_currents(bool three_phase) {
  const double area = pi_ / 8 * (0.052 * 0.052 - 0.032 * 0.032), peak = std::sqrt(2.0) * kTeamDensity * area;
  if (!three_phase) return {peak, 0, 0};
  return {peak, std::polar(peak, -2 * pi_ / 3), std::polar(peak, 2 * pi_ / 3)};
}

const std::vector<TeamRow> kTeamThreePhase = {{200, 6.505013, 0.845368, 1179.541, 16.98615},
                                              {600, -5.75939, 0.761760, 1314.613, 17.87566},
                                              {1000, -2.70051, 0.575699, 1710.686, 14.32059}};
const std::vector<TeamRow> kTeamSinglePhase = {{119.3805, 0.143050, 0.548603, 340.0396, 3.848117},
                                               {278.5546, 0.442137, 0.658967, 317.9933, 2.999715}};
const char* const kTeamSource =
    "K. Davey, TEAM Workshop Problem 30a, by J. S. Dokken and I. A. Baratta 2021 (published)";

}  // namespace polepitch::test
