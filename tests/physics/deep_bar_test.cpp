// Bars in slots whose field is one-dimensional: rectangular open slots in iron that takes no field, far below the
// mouth. Resistance and reactance against Emde's and Field's functions, two bars of a slot against layered conductors.
#include <gtest/gtest.h>

#include <cmath>
#include <complex>

#include "geometry/mesh_limits.h"
#include "solver/cage_field.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

using Complex = std::complex<double>;
constexpr double kWidth = 3e-3, kHeight = 20e-3, kLength = 0.1;
constexpr double kInner = 0.6 * kHeight;  // of two bars

/// Slots 3 mm wide: what the gap's field is at the mouth has fallen by e^{-5π} at the bar, 15 mm below.
std::string bar_machine(const std::string& rotor) {
  return R"toml(title = "Open slots (invented)"
[machine]
pole_pairs = 2
length = "100 mm"
stator_material = "linear-steel"
shaft = "hollow"
[stator]
type = "slotted"
slots = 12
bore_diameter = "150 mm"
outer_diameter = "230 mm"
[stator.slot]
shape = "rectangular-open"
width = "8 mm"
height = "20 mm"
[winding]
layers = 1
turns_per_coil = 10
[rotor]
)toml" + rotor +
         R"toml(
air_gap = "1 mm"
bars = 12
shaft_diameter = "40 mm"
[rotor.slot]
shape = "rectangular-open"
width = "3 mm"
height = "20 mm"
wedge_height = "15 mm"
)toml";
}

/// No field in the iron: its permeability adds 1e-6.
std::unique_ptr<TestMachine> make_bar_machine(const std::string& rotor, double edge) {
  Material iron;
  iron.name = "linear-steel", iron.kind = "steel", iron.mu_r = 1e7;
  Material brass;
  brass.name = "test-brass", brass.kind = "conductor", brass.conductivity = 15e6;
  Material metal = brass;
  metal.name = "aluminium", metal.conductivity = 35e6;
  auto machine =
      make_machine(bar_machine(rotor), 0.4, {{"linear-steel", iron}, {"copper", brass}, {"aluminium", metal}});
  std::vector<double> largest;
  for (const Region& region : machine->section.regions) largest.push_back(region.role == Role::bar ? edge : 0);
  machine->mesh = limit_edges(machine->section, std::move(machine->mesh), largest);
  return machine;
}

CageExcitation fed(double omega) {
  CageExcitation e;
  e.omega = omega, e.slip = 1, e.voltage_fed = false, e.supply = 10;
  return e;
}

/// Mean of A over the nodes on the end of a bar towards the gap, where it is the same to rounding of the mouth's field.
Complex potential_at_top(const TestMachine& m, const CageSolution& s, int branch) {
  double top = 0;
  const auto each = [&](auto use) {
    for (size_t t = 0; t < m.mesh.triangles.size(); ++t)
      if (m.section.regions[m.mesh.region[t]].branch == branch)
        for (int n : m.mesh.triangles[t]) use(n);
  };
  each([&](int n) { top = std::max(top, m.mesh.nodes[n].x); });
  Complex sum = 0;
  double count = 0;
  each([&](int n) {
    if (m.mesh.nodes[n].x > top - 1e-9) sum += s.a[n], count += 1;
  });
  return sum / count;
}

int first_bar(const Section& section) {
  for (size_t b = 0; b < section.branches.size(); ++b)
    if (section.branches[b].kind == BranchKind::bar) return static_cast<int>(b);
  return -1;
}

/// k_R = φ(ξ), k_X = ψ(ξ): rows of a table of the functions (formula: ξ (sinh 2ξ + sin 2ξ)/(cosh 2ξ − cos 2ξ) and
/// (3/2ξ) (sinh 2ξ − sin 2ξ)/(cosh 2ξ − cos 2ξ), computed apart).
TEST(DeepBar, ResistanceAndReactanceAreFieldsAndEmdes) {
  struct Row {
    double xi, k_r, k_x;
  };
  auto m = make_bar_machine("type = \"cage\"", 1.4e-3);
  CageField field(m->section, m->mesh, m->kase.materials, RingSegment{});
  const double sigma = 35e6, mu = 4e-7 * std::numbers::pi;
  const int bar = first_bar(m->section);
  CageSolution last;
  for (const Row& row :
       {Row{0.5, 1.005542, 0.998417}, {1, 1.085636, 0.975589}, {2, 1.897806, 0.752276}, {3, 3.010136, 0.503081}}) {
    const double omega = 2 * row.xi * row.xi / (kHeight * kHeight * mu * sigma);
    const CageSolution s = field.solve(fed(omega), last.a.empty() ? nullptr : &last);
    last = s;
    const Complex z = (s.bar_voltages[0] - Complex{0, omega} * potential_at_top(*m, s, bar)) / s.bars[0];
    const double r = 1 / (sigma * kWidth * kHeight), x = omega * mu * kHeight / (3 * kWidth);
    const std::string name = fmt::format("deep bar, xi = {:g}: ", row.xi), source = "Field, Emde (formula, table)";
    record_check(name + "k_R", z.real() / r, row.k_r, 1e-4 * row.k_r, "1", source, kClosedForm);
    record_check(name + "k_X", z.imag() / x, row.k_x, 1e-4 * row.k_x, "1", source, kClosedForm);
    // The loss is that resistance's too (all 12 bars carry the same).
    EXPECT_NEAR(s.bar_loss / (0.5 * 12 * kLength * r * std::norm(s.bars[0])), row.k_r, 1e-4 * row.k_r);
  }
}

/// Share of the inner of two layers of conductors with equal voltage (common rings): E'' = k² E in each, k² = jωμ0σ, H
/// = 0 at the bottom, both continuous between them; current is slot width times H (formula).
Complex inner_share(double omega, double sigma_inner, double sigma_outer) {
  const double mu = 4e-7 * std::numbers::pi;
  const Complex k1 = std::sqrt(Complex{0, omega * mu * sigma_inner}),
                k2 = std::sqrt(Complex{0, omega * mu * sigma_outer});
  const double h2 = kHeight - kInner;
  const Complex e = std::cosh(k1 * kInner), inner = k1 * std::sinh(k1 * kInner);
  const Complex whole = e * k2 * std::sinh(k2 * h2) + inner * std::cosh(k2 * h2);
  return inner / whole;
}

/// At standstill the current crowds into the outer bar although it conducts worse; at low slip the bars share by their
/// conductances.
TEST(DoubleCage, BarsShareTheirCurrentAsLayers) {
  auto m = make_bar_machine("type = \"double-cage\"\nouter_bar_material = \"copper\"\nbar_split = 0.6", 1.5e-3);
  CageField field(m->section, m->mesh, m->kase.materials, RingSegment{});
  const double sections = 35e6 * kInner / (35e6 * kInner + 15e6 * (kHeight - kInner));
  CageSolution last;
  for (double hertz : {0.5, 50.0, 200.0}) {
    const CageSolution s = field.solve(fed(2 * std::numbers::pi * hertz), last.a.empty() ? nullptr : &last);
    last = s;
    const Complex share = s.bars[0] / (s.bars[0] + s.bars[1]);
    const Complex layered = inner_share(2 * std::numbers::pi * hertz, 35e6, 15e6);
    record_check(fmt::format("two bars a slot, {:g} Hz: share of the inner one", hertz), std::abs(share),
                 std::abs(layered), 1e-4, "1", "layered conductors (formula)", kClosedForm);
    EXPECT_NEAR(std::arg(share / layered), 0, 1e-4) << hertz;
    if (hertz < 1) {
      EXPECT_NEAR(std::abs(share), sections, 5e-3);  // by conductance; skin effect at 0.5 Hz takes less than that
    }
    if (hertz > 100) {
      EXPECT_LT(std::abs(share), 0.7 * sections);
    }
  }
}

/// Separate rings, slow: each cage answers the same voltage with its bar and its rings in series (formula: R_bar +
/// R_segment/(2 sin²(πp/Q))). 2e-3: at 0.05 Hz the leakage between the cages still turns one against the other.
TEST(DoubleCage, SeparateRingsShareByResistance) {
  auto m = make_bar_machine(
      "type = \"double-cage\"\nouter_bar_material = \"copper\"\nbar_split = 0.6\nrings = \"separate\"", 3e-3);
  CageEnds ends(RingSegment{2e-5, 0});
  ends.separate_rings = true;
  ends.outer_ring = {9e-5, 0};
  ends.overhang = {3e-5, 0};
  CageField field(m->section, m->mesh, m->kase.materials, ends);
  const CageSolution s = field.solve(fed(2 * std::numbers::pi * 0.05));
  const double sine = std::sin(std::numbers::pi * 2 / 12), ring = 1 / (2 * sine * sine);
  const double inner = kLength / (35e6 * kWidth * kInner) + 3e-5 + 2e-5 * ring;
  const double outer = kLength / (15e6 * kWidth * (kHeight - kInner)) + 9e-5 * ring;
  record_check("separate rings, slow: inner over outer bar current", std::abs(s.bars[0] / s.bars[1]), outer / inner,
               2e-3 * outer / inner, "1", "R_bar + R_segment/(2 sin^2(pi p/Q)) of each cage (formula)", kClosedForm);
  const double bars =
      0.5 * 12 * (std::norm(s.bars[0]) * (inner - 2e-5 * ring) + std::norm(s.bars[1]) * (outer - 9e-5 * ring));
  const double rings = 0.5 * 12 * (std::norm(s.bars[0]) * 2e-5 + std::norm(s.bars[1]) * 9e-5) * ring;
  EXPECT_NEAR(s.bar_loss / bars, 1, 1e-3);
  EXPECT_NEAR(s.ring_loss / rings, 1, 1e-3);
}

}  // namespace
}  // namespace polepitch::test
