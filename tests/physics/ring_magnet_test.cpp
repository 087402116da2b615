// A diametrically magnetised ring between a permeable core and bore, alone and in the field of currents on the bore.
// Closed form (formula): B_r(Rs) = Br (Rm² − Rr²)/(Rs² − Rr²) cos θ; in the air over the magnet
// A = C (r + Rs²/r) sin θ with C = B_r(Rs)/2.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr double kBr = 1.2;

struct Radii {
  double core = 0.015, magnet = 0.020, shell = 0.0225, bore = 0.024;

  double bore_field() const { return kBr * (magnet * magnet - core * core) / (bore * bore - core * core); }
};

RingMachine ring_machine(const Radii& radii) {
  RingMachine m;
  m.rotor_radii = {radii.core, radii.magnet};
  m.stator_radii = {radii.shell, radii.bore};  // the currents flow in a thin shell inside the bore
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

double exact_potential(const Radii& radii, double r, double theta) {
  return 0.5 * radii.bore_field() * (r + radii.bore * radii.bore / r) * std::sin(theta);
}

/// Force on the currents, integrated exactly over each segment: T/L = −Σ J_k ∫ r B_r dS, on the rotor by reaction.
double exact_torque(const Radii& radii, const std::vector<double>& currents, double rotor_angle) {
  const double pitch = pi / static_cast<double>(currents.size());  // of one of two antiperiodic halves
  const double rs = radii.bore, rk = radii.shell;
  const double area = 0.5 * pitch * (rs * rs - rk * rk);
  // ∫ r B_r r dr with B_r = C (1 + Rs²/r²) cos θ
  const double radial = 0.5 * radii.bore_field() * ((std::pow(rs, 3) - std::pow(rk, 3)) / 3 + rs * rs * (rs - rk));
  double sum = 0;
  for (size_t k = 0; k < currents.size(); ++k) {
    const double from = static_cast<double>(k) * pitch - rotor_angle;
    sum += currents[k] / area * radial * (std::sin(from + pitch) - std::sin(from));
  }
  return -2 * sum;
}

/// Relative root-mean-square error of A over points spread over all three parts of the air over the magnet.
double potential_error(const Radii& radii, const StaticField& field, const StaticSolution& open, double turned) {
  double sum = 0, weight = 0;
  for (int k = 0; k < 200; ++k) {
    const double theta = 0.0173 + k * 2 * pi / 200, r = 0.02005 + 0.0007 * std::fmod(k * 0.37, 1.0);
    const double exact = exact_potential(radii, r, theta - turned);
    const bool stator = r > field.section().gap_circle(Side::stator),
               rotor = r < field.section().gap_circle(Side::rotor);
    const Point own = {r * std::cos(theta - turned), r * std::sin(theta - turned)};
    const double a = stator  ? field.potential(open, Side::stator, {r * std::cos(theta), r * std::sin(theta)})
                     : rotor ? field.potential(open, Side::rotor, own)
                             : open.gap.potential(r, theta);
    sum += (a - exact) * (a - exact);
    weight += exact * exact;
  }
  return std::sqrt(sum / weight);
}

// Second-order elements (theory): h³ for the potential, h⁴ for what is quadratic in the field.
TEST(RingMagnet, PotentialConvergesWithThirdOrderAndTorqueWithFourth) {
  const Radii radii;
  const Section section = draw_rings(ring_machine(radii));
  const Materials materials = ring_materials(kBr, 1.0);
  Excitation excitation;
  excitation.rotor_angle = 0.3;
  for (int k = 0; k < 6; ++k) excitation.currents.push_back(20 * std::cos((k + 0.5) * 2 * pi / 12 - 0.9));
  Excitation quiet = excitation;
  quiet.currents.clear();
  const double exact = exact_torque(radii, excitation.currents, 0.3);
  std::vector<double> elements, potential_errors, torque_errors;
  for (double density : {0.5, 1.0, 2.0, 4.0}) {
    const Mesh mesh = mesh_section(section, {density, true});
    StaticField field(section, mesh, materials);
    elements.push_back(static_cast<double>(mesh.triangles.size()));
    potential_errors.push_back(potential_error(radii, field, field.solve(quiet), 0.3));
    torque_errors.push_back(std::abs(field.torque(field.solve(excitation)) / exact - 1));
  }
  record_errors("potential", potential_errors);
  record_errors("torque", torque_errors);
  const std::string theory = "second-order elements: h³ and h⁴ (theory)";
  record_at_least("ring magnet: order of the potential's error", fitted_rate(elements, potential_errors), 2.8, "1",
                  theory, kRate);
  record_at_least("ring magnet: order of the torque's error", fitted_rate(elements, torque_errors), 3.6, "1", theory,
                  kRate);
  record_at_most("ring magnet: torque's error on the finest mesh", torque_errors.back(), 1e-7, "1",
                 "force on the currents, integrated (formula)", kClosedForm);
}

// 15/20/21 mm, 1.2 T. Expected: formula above, 0.972222 T at the bore and 0.996224 T in mid-gap. Tolerance: the error
// that the rates above leave on this mesh, with a margin of five.
TEST(RingMagnet, FieldInTheGap) {
  const Radii radii{0.015, 0.020, 0.0207, 0.021};
  const Section section = draw_rings(ring_machine(radii));
  const Mesh mesh = mesh_section(section, {2, true});
  StaticField field(section, mesh, ring_materials(kBr, 1.0));
  const StaticSolution open = field.solve({});
  const double bore = field.potential(open, Side::stator, {0, 0.021}) / 0.021;  // B_r = (1/r) ∂A/∂θ = A/r at its peak
  const double middle = std::abs(open.gap.spectrum(0.0205).front().radial);
  const std::string source = "B_r(Rs) = Br (Rm² − Rr²)/(Rs² − Rr²) (formula)";
  record_check("ring magnet: B_r at the bore", bore, 0.972222, 1e-5, "T", source, kClosedForm);
  record_check("ring magnet: B_r in mid-gap", middle, 0.996224, 1e-5, "T", source, kClosedForm);
}

/// T/L [N m/m] of a shell of `thickness` whose total current per angle has the fundamental of a sheet K sin θ.
double shell_torque(double thickness) {
  const Radii radii{0.015, 0.020, 0.021 - thickness, 0.021};
  const Section section = draw_rings(ring_machine(radii));
  const Mesh mesh = mesh_section(section, {2, true});
  StaticField field(section, mesh, ring_materials(kBr, 1.0));
  const double pitch = 2 * pi / 12, sheet = 1e4;
  const double factor = std::sin(pitch / 2) / (pitch / 2);  // fundamental of steps of one pitch
  Excitation excitation;
  for (int k = 0; k < 6; ++k)
    excitation.currents.push_back(sheet * 0.021 * pitch / factor * std::sin((k + 0.5) * pitch));
  excitation.rotor_angle = pi / 2;  // the sheet's own field is largest at θ = 0: axes 90° apart
  const double torque = field.torque(field.solve(excitation));
  EXPECT_NEAR(torque / exact_torque(radii, excitation.currents, pi / 2), 1, 2e-6);
  return std::abs(torque);
}

// Expected: formula T/L = π Rs² K B_r(Rs) = 13.46958 N m/m for 10 kA/m. The magnet's field alone turns the currents,
// and it has one order only, so the steps of the shell cost nothing. At the permeable bore r B_r is stationary, so the
// shell's thickness t deviates by order (t/Rs)² = 2e-5; a shell of double thickness by four times as much.
TEST(RingMagnet, TorqueInTheFieldOfASheet) {
  const double thick = shell_torque(0.0002) / 13.46958 - 1, thin = shell_torque(0.0001) / 13.46958 - 1;
  const std::string source = "T/L = π Rs² K B_r(Rs) (formula); the tolerance is the shell's thickness";
  record_check("ring magnet and sheet of 0.1 mm: T/L", 13.46958 * (1 + thin), 13.46958, 2e-5 * 13.46958, "N·m/m",
               source, kClosedForm);
  record_check("ring magnet and sheet of 0.2 mm: T/L", 13.46958 * (1 + thick), 13.46958, 9e-5 * 13.46958, "N·m/m",
               source, kClosedForm);
  EXPECT_NEAR(thick / thin, 4, 1);  // what is left is the shell, not the elements
}

}  // namespace
}  // namespace polepitch::test
