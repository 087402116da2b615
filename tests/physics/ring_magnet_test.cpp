// A diametrically magnetised ring between a permeable core and bore, alone and in the field of currents on the bore.
// Closed form (formula): B_r(Rs) = Br (Rm² − Rr²)/(Rs² − Rr²) cos θ; in the air over the magnet
// A = C (r + Rs²/r) sin θ with C = B_r(Rs)/2.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/ring_helper.h"

namespace polepitch::test {
namespace {

constexpr double kRr = 0.015, kRm = 0.020, kRs = 0.024, kShell = 0.0225, kBr = 1.2;
const double kBore = kBr * (kRm * kRm - kRr * kRr) / (kRs * kRs - kRr * kRr);

RingMachine ring_machine() {
  RingMachine m;
  m.rotor_radii = {kRr, kRm};
  m.stator_radii = {kShell, kRs};  // the currents flow in a thin shell inside the bore
  m.segments = 12;
  m.sectors = 2;
  m.sign = -1;
  m.inner = m.outer = FarBoundary::permeable;
  for (int k = 0; k < m.segments / m.sectors; ++k) m.branches.push_back({"segment", BranchKind::phase, 0});
  m.dress = [](Side side, int ring, int segment, double, Region& r) {
    if (side == Side::rotor && ring == 0) {
      r.material = "magnet";
      r.magnetisation = {Magnetisation::Pattern::parallel, 0, 1};
    }
    if (side == Side::stator && ring == 1) {
      r.branch = segment;
      r.turns = 1;
    }
  };
  return m;
}

double exact_potential(double r, double theta) { return 0.5 * kBore * (r + kRs * kRs / r) * std::sin(theta); }

/// Force on the currents, integrated exactly over each segment: T/L = −Σ J_k ∫ r B_r dS, on the rotor by reaction.
double exact_torque(const std::vector<double>& currents, double rotor_angle) {
  const double pitch = pi / static_cast<double>(currents.size());  // of one of two antiperiodic halves
  const double area = 0.5 * pitch * (kRs * kRs - kShell * kShell);
  // ∫ r B_r r dr with B_r = C (1 + Rs²/r²) cos θ
  const double radial =
      0.5 * kBore * ((std::pow(kRs, 3) - std::pow(kShell, 3)) / 3 + kRs * kRs * (kRs - kShell));
  double sum = 0;
  for (size_t k = 0; k < currents.size(); ++k) {
    const double from = static_cast<double>(k) * pitch - rotor_angle;
    sum += currents[k] / area * radial * (std::sin(from + pitch) - std::sin(from));
  }
  return -2 * sum;
}

TEST(RingMagnet, PotentialConvergesWithThirdOrderAndTorqueWithFourth) {
  const Section section = draw_rings(ring_machine());
  const Materials materials = ring_materials(kBr, 1.0);
  SolverOptions options;
  options.harmonics_share = 0.5;
  Excitation excitation;
  excitation.rotor_angle = 0.3;
  for (int k = 0; k < 6; ++k) excitation.currents.push_back(20 * std::cos((k + 0.5) * 2 * pi / 12 - 0.9));
  std::vector<double> elements, potential_errors, torque_errors;
  for (double density : {0.5, 1.0, 2.0, 4.0}) {
    const Mesh mesh = mesh_section(section, {density, true});
    StaticField field(section, mesh, materials, options);
    Excitation quiet = excitation;
    quiet.currents.clear();
    const StaticSolution open = field.solve(quiet);
    double sum = 0, weight = 0;
    for (int k = 0; k < 200; ++k) {
      const double theta = 0.0173 + k * 2 * pi / 200, r = 0.02005 + 0.0007 * std::fmod(k * 0.37, 1.0);
      const double exact = exact_potential(r, theta - 0.3);
      const bool stator = r > section.gap_circle(Side::stator), rotor = r < section.gap_circle(Side::rotor);
      const double a = stator  ? field.potential(open, Side::stator, {r * std::cos(theta), r * std::sin(theta)})
                       : rotor ? field.potential(open, Side::rotor,
                                                 {r * std::cos(theta - 0.3), r * std::sin(theta - 0.3)})
                               : open.gap.potential(r, theta);
      sum += (a - exact) * (a - exact);
      weight += exact * exact;
    }
    const double torque = field.torque(field.solve(excitation));
    const double exact = exact_torque(excitation.currents, 0.3);
    elements.push_back(static_cast<double>(mesh.triangles.size()));
    potential_errors.push_back(std::sqrt(sum / weight));
    torque_errors.push_back(std::abs(torque / exact - 1));
    RecordProperty("torque_error_" + std::to_string(elements.size()), std::to_string(torque_errors.back()));
    printf("%6.0f elements: potential %.3e torque %.3e (%.6f against %.6f)\n", elements.back(), potential_errors.back(),
           torque_errors.back(), torque, exact);
  }
  EXPECT_GE(fitted_rate(elements, potential_errors), 2.8);
  EXPECT_GE(fitted_rate(elements, torque_errors), 3.6);
  EXPECT_LT(torque_errors.back(), 1e-7);
}

}  // namespace
}  // namespace polepitch::test
