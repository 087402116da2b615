// TEAM Workshop Problem 30a (K. Davey), shared by its tests in the frequency domain and in time.
#pragma once

#include <complex>
#include <string>
#include <vector>

#include "solver/material.h"

namespace polepitch::test {

/// 310 A/cm² is the r.m.s. value (the tables fit only so: values of the problem, published).
inline constexpr double kTeamDensity = 310e4;
inline constexpr double kTeamOmega = 2 * 3.14159265358979323846 * 60;

std::string team_text();
Materials team_materials();
/// A, peak phasors.
std::vector<std::complex<double>> team_currents(bool three_phase);

struct TeamRow {
  double speed, torque, voltage, loss, steel_loss;
};
extern const std::vector<TeamRow> kTeamThreePhase, kTeamSinglePhase;
extern const char* const kTeamSource;

}  // namespace polepitch::test
