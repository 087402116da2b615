// Currents in a thin shell on the bore of a permeable annulus: the limit is a sheet K sin pθ with
// B_r(Rs) = μ0 K (1+ρ)/(1−ρ), ρ = (Rr/Rs)^2p (formula), and the slotless magnetising inductance
// L_m = [2 m μ0 L (k_w N)²/(π p)] (1+ρ)/(1−ρ) (formula). Shells of finite thickness by separation of variables.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/layered_helper.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr int kPolePairs = 2;

struct Shell {
  double rotor, inner, bore;  // m; currents flow between inner and bore
  int segments;               // of a pole
};

double pitch(const Shell& s) {
  return pi / (kPolePairs * s.segments);
}

/// Ampere-turns of the segment at `middle` when the fundamental of the current is `per_radian` sin pθ [A/rad]: steps of
/// one pitch have the fundamental of their samples times sin(x)/x, x half the electrical pitch.
double segment_current(const Shell& s, double middle, double per_radian) {
  const double x = kPolePairs * pitch(s) / 2;
  return per_radian * pitch(s) * x / std::sin(x) * std::sin(kPolePairs * middle);
}

/// One branch whose turns follow the sine: 1 A makes per_radian sin pθ.
Section draw(const Shell& shell, double per_radian, double length) {
  RingMachine m;
  m.pole_pairs = kPolePairs;
  m.sectors = 2 * kPolePairs;
  m.sign = -1;
  m.segments = shell.segments * m.sectors;
  m.length = length;
  m.rotor_radii = {shell.rotor};
  m.stator_radii = {shell.inner, shell.bore};
  m.inner = m.outer = FarBoundary::permeable;
  m.branches = {{"sine", BranchKind::phase, 0}};
  m.dress = [&](Side side, int ring, int, double middle, Region& r) {
    if (side != Side::stator || ring != 1) return;
    r.branch = 0;
    r.turns = segment_current(shell, middle, per_radian);
  };
  return draw_rings(m);
}

/// Electrical orders ν that the steps make, with J_ν/J_1.
std::vector<std::pair<int, double>> step_orders(const Shell& s, int largest) {
  std::vector<std::pair<int, double>> orders;
  const int steps = 2 * s.segments;  // per electrical period
  const double x = pi / steps;
  // Sampled at the middles of the steps, order ν = steps k ± 1 aliases the fundamental with sign (−1)^k, and ± for −.
  for (int k = 0; steps * k <= largest; ++k)
    for (int side : {-1, 1}) {
      const int nu = steps * k + side;
      if (nu < 1) continue;
      const double sampled = (k % 2 ? -1.0 : 1.0) * side;
      orders.emplace_back(nu, sampled * (std::sin(nu * x) / (nu * x)) / (std::sin(x) / x));
    }
  return orders;
}

LayeredField exact(const Shell& s, int nu, double density_amplitude) {
  return {nu * kPolePairs, s.rotor, {{s.inner, 1, 0, 0}, {s.bore, 1, density_amplitude, 0}}};
}

/// λ of the branch at 1 A [Wb], all orders up to `largest`: λ = L Σ_ν ∫ J_ν A_ν dS = L π ∫ J_ν A_ν r dr.
double exact_linkage(const Shell& s, double per_radian, double length, int largest) {
  const double ring = 0.5 * (s.bore * s.bore - s.inner * s.inner);
  double sum = 0;
  for (const auto& [nu, share] : step_orders(s, largest)) {
    const double j = share * per_radian / ring;
    sum += length * pi * ring * j * exact(s, nu, j).mean_potential(1).real();
  }
  return sum;
}

/// Relative r.m.s. error of A of the shell's field over points of the gap and both rings beside it.
double potential_error(const Shell& s, const StaticField& field, const StaticSolution& solution, double per_radian) {
  std::vector<std::pair<int, LayeredField>> orders;
  const double ring = 0.5 * (s.bore * s.bore - s.inner * s.inner);
  for (const auto& [nu, share] : step_orders(s, 150))
    orders.emplace_back(nu * kPolePairs, exact(s, nu, share * per_radian / ring));
  double sum = 0, weight = 0;
  for (int k = 0; k < 200; ++k) {
    const double theta = 0.0173 + k * 2 * pi / 200;
    const double r = s.rotor + (s.inner - s.rotor) * (0.01 + 0.98 * std::fmod(k * 0.37, 1.0));
    double expected = 0;  // J sin nθ drives A sin nθ
    for (const auto& [n, layered] : orders) expected += layered.potential(r).real() * std::sin(n * theta);
    const Point p = {r * std::cos(theta), r * std::sin(theta)};
    const double a = r > field.section().gap_circle(Side::stator)  ? field.potential(solution, Side::stator, p)
                     : r < field.section().gap_circle(Side::rotor) ? field.potential(solution, Side::rotor, p)
                                                                   : solution.gap.potential(r, theta);
    sum += (a - expected) * (a - expected);
    weight += expected * expected;
  }
  return std::sqrt(sum / weight);
}

// Second-order elements (theory): h³ for the potential, h⁴ for linkage and energy, with every order that the mesh
// resolves in the annulus.
TEST(CurrentShell, PotentialConvergesWithThirdOrderAndEnergyWithFourth) {
  const Shell shell{0.030, 0.036, 0.040, 6};
  const Section section = draw(shell, 1000, 1);
  const double linkage = exact_linkage(shell, 1000, 1, 3000);
  std::vector<double> elements, potential_errors, energy_errors;
  for (double density : {0.5, 1.0, 2.0, 4.0}) {
    const Mesh mesh = mesh_section(section, {density, true});
    StaticField field(section, mesh, ring_materials(0, 1), {.harmonics_per_gap = 20});
    const StaticSolution solution = field.solve({.currents = {1}});
    elements.push_back(static_cast<double>(mesh.triangles.size()));
    potential_errors.push_back(potential_error(shell, field, solution, 1000));
    energy_errors.push_back(std::abs(field.energy(solution) / (0.5 * linkage) - 1));
    EXPECT_NEAR(field.linkages(solution)[0] / (2 * field.energy(solution)), 1, 1e-10);  // linear: W = λi/2
  }
  record_errors("potential", potential_errors);
  record_errors("energy", energy_errors);
  const std::string theory = "second-order elements: h³ and h⁴ (theory)";
  record_at_least("current shell: order of the potential's error", fitted_rate(elements, potential_errors), 2.8, "1",
                  theory, kRate);
  record_at_least("current shell: order of the energy's error", fitted_rate(elements, energy_errors), 3.6, "1", theory,
                  kRate);
  record_at_most("current shell: energy's error on the finest mesh", energy_errors.back(), 1e-7, "1",
                 "separation of variables (formula)", kClosedForm);
}

// More orders in the annulus stop to matter. The default leaves out the orders of the steps, under 1e-5 of the linkage;
// twice as many leave 1e-8.
TEST(CurrentShell, HarmonicsAreRaisedUntilInert) {
  const Shell shell{0.030, 0.036, 0.040, 6};
  const Section section = draw(shell, 1000, 1);
  const Mesh mesh = mesh_section(section, {2, true});
  std::vector<double> linkages;
  for (double per_gap : {2.2, 3.5, 7.0, 14.0}) {
    StaticField field(section, mesh, ring_materials(0, 1), {.harmonics_per_gap = per_gap});
    linkages.push_back(field.linkages(field.solve({.currents = {1}}))[0]);
  }
  const double best = linkages.back();
  for (double& l : linkages) l = std::abs(l / best - 1);
  record_errors("truncation", linkages);
  const std::string source = "the same with four times as many orders";
  record_at_most("annulus: linkage left out with 3.5 orders a gap", linkages[1], 1e-5, "1", source, kRate);
  EXPECT_LT(linkages[2], 2e-8);
  StaticField most(section, mesh, ring_materials(0, 1), {.harmonics_per_gap = 100, .harmonics_share = 1.0});
  EXPECT_NEAR(most.linkages(most.solve({.currents = {1}}))[0] / best, 1, 1e-9);
}

/// The fundamental of B_r [T] that the air under the shell carries to the bore, by its order alone: between a permeable
/// rotor and the shell A ∝ r^n + Rr^2n r^−n.
double bore_field(const Shell& s, const GapField& gap) {
  const auto shape = [&](double r) { return std::pow(r / s.rotor, 2) + std::pow(s.rotor / r, 2); };  // n = p = 2
  const double r = gap.mean_radius();
  return std::abs(gap.spectrum(r).front().radial) * (shape(s.bore) / s.bore) / (shape(r) / r);
}

// 39.5/40 mm, p = 2. Expected (formula): 0.499612 T at 10 kA/m; 43.0578 mH for m = 3, N = 100, k_w = 0.95, L = 0.1 m:
// one phase of sinusoidal turns, whose field three balanced phases make 3/2 times. A shell of thickness t deviates by
// order (p t/Rs)², as r B_r is stationary at the bore: t/Rs = 1/400 leaves 1e-5.
TEST(CurrentShell, SheetOnTheBoreOfAPermeableAnnulus) {
  const Shell shell{0.0395, 0.0399, 0.040, 12};
  const double turns = 2 * 100 * 0.95 / pi;  // conductors per radian, fundamental of N k_w turns
  const Section section = draw(shell, turns, 0.1);
  const Mesh mesh = mesh_section(section, {1, true});
  StaticField field(section, mesh, ring_materials(0, 1), {.harmonics_per_gap = 3.5});
  const StaticSolution solution = field.solve({.currents = {1}});
  const double b = bore_field(shell, solution.gap);                      // T per A
  const double sheet = turns / shell.bore;                               // A/m per A
  const double linkage = 2 * 100 * 0.95 * 0.1 * b * 0.040 / kPolePairs;  // L ∫ turns sin pθ A dθ, A = B_r Rs/p sin pθ
  record_check("sheet of 10 kA/m on the bore: B_r", b / sheet * 1e4, 0.499612, 1.5e-5 * 0.499612, "T",
               "B_r(Rs) = μ0 K (1+ρ)/(1−ρ) (formula)", kClosedForm);
  record_check("slotless winding: L_m", 1.5e3 * linkage, 43.0578, 1.5e-5 * 43.0578, "mH",
               "L_m = 2 m μ0 L (k_w N)²/(π p) (1+ρ)/(1−ρ) (formula)", kClosedForm);
  // The whole linkage, the steps' differential leakage in it, against separation of variables.
  record_check("current shell: linkage over that of the closed form",
               field.linkages(solution)[0] / exact_linkage(shell, turns, 0.1, 6000), 1, 2e-5, "1",
               "separation of variables, differential leakage included (formula)", kClosedForm);
}

}  // namespace
}  // namespace polepitch::test
