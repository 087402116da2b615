// A ring of current and its return: a field that runs in circles (order 0), H = i/(2πr), B from the curve of the iron.
// Expected: one-dimensional quadrature (formula) with the same H(B) read backwards. Order 0 is what couples both sides
// of the annulus where a sector admits it.
#include <gtest/gtest.h>

#include <cmath>

#include "cases/material_library.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr double kAmpere = 3000;
// Rotor: hole, iron, conductor, iron; stator: iron, return conductor.
const std::vector<double> kRotor = {0.020, 0.030, 0.040, 0.060}, kStator = {0.062, 0.085, 0.090};

RingMachine machine(int sectors, FarBoundary inner) {
  RingMachine m;
  m.rotor_radii = kRotor;
  m.stator_radii = kStator;
  m.segments = 12;
  m.sectors = sectors;
  m.pole_pairs = 3;  // only sizes of the mesh follow from it
  m.length = 0.2;
  m.inner = inner;
  m.branches = {{"ring", BranchKind::phase, 0}};
  m.dress = [](Side side, int ring, int, double, Region& r) {
    // The helper adds the ring of air between iron and gap circle: the stator's ring 0, the rotor's last.
    const bool rotor = side == Side::rotor;
    r.branch = (rotor && ring == 1) || (!rotor && ring == 2) ? 0 : -1;
    r.turns = (rotor ? 1.0 : -1.0) / 12;
    if ((rotor && (ring == 0 || ring == 2)) || (!rotor && ring == 1)) r.material = "iron";
  };
  return m;
}

/// B where the curve has this H, by bisection.
double flux_density(const BhCurve& curve, double h) {
  double low = 0, high = 3;
  for (int i = 0; i < 200; ++i) {
    const double middle = 0.5 * (low + high);
    (curve.h(middle) < h ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double area(double from, double to) {
  return pi * (to * to - from * from);
}

double enclosed(double r) {
  const double c = std::min(std::max(r, kRotor[1]), kRotor[2]), back = std::min(std::max(r, kStator[1]), kStator[2]);
  return kAmpere *
         (area(kRotor[1], c) / area(kRotor[1], kRotor[2]) - area(kStator[1], back) / area(kStator[1], kStator[2]));
}

struct OneDimension {
  double linkage = 0, energy = 0;
};

/// λ/L = ∫ (share of the current enclosed) B dr, W/L = ∫ w 2πr dr: Simpson over each ring.
OneDimension quadrature(const BhCurve& iron) {
  std::vector<double> radii = kRotor;
  radii.insert(radii.end(), kStator.begin(), kStator.end());
  const BhCurve air(1);
  OneDimension sum;
  for (size_t k = 0; k + 1 < radii.size(); ++k) {
    const bool is_iron = k == 0 || k == 2 || k == 4;
    const int steps = 2000;
    const double dr = (radii[k + 1] - radii[k]) / steps;
    for (int i = 0; i <= steps; ++i) {
      const double r = radii[k] + i * dr, weight = (i == 0 || i == steps ? 1 : i % 2 ? 4 : 2) * dr / 3;
      const double h = enclosed(r) / (2 * pi * r);
      const BhCurve& curve = is_iron ? iron : air;
      const double b = is_iron ? flux_density(iron, h) : mu0 * h;
      sum.linkage += weight * enclosed(r) / kAmpere * b;
      sum.energy += weight * curve.energy(b) * 2 * pi * r;
    }
  }
  return sum;
}

Materials materials() {
  Materials m = ring_materials(0, 1);
  m["iron"] = load_material_library().at("M400-50A");
  return m;
}

struct FieldCase {
  int sectors;
  FarBoundary inner;
};

class NonlinearAnnulus : public ::testing::TestWithParam<FieldCase> {};

// Tolerance 1e-6: the elements' error (H ∝ 1/r is no polynomial; the curve is piecewise cubic).
TEST_P(NonlinearAnnulus, LinkageAndEnergyOfOneDimension) {
  const Section section = draw_rings(machine(GetParam().sectors, GetParam().inner));
  const Mesh mesh = mesh_section(section, {1, true});
  StaticField field(section, mesh, materials(), {.tolerance = 1e-10});
  Excitation excitation;
  excitation.currents = {kAmpere};
  excitation.rotor_angle = 0.37;  // the field does not know
  const StaticSolution solution = field.solve(excitation);
  const OneDimension expected = quadrature(materials()["iron"].curve());
  const std::string what = fmt::format("saturated rings, {} sectors, {} shaft: ", GetParam().sectors,
                                       GetParam().inner == FarBoundary::permeable ? "permeable" : "floating");
  const std::string source = "H = i/(2πr) and the B–H curve, quadrature over r (formula)";
  record_check(what + "linkage over that of one dimension", field.linkages(solution)[0] / (0.2 * expected.linkage), 1,
               1e-6, "1", source, kClosedForm);
  record_check(what + "energy over that of one dimension", field.energy(solution) / (0.2 * expected.energy), 1, 1e-6,
               "1", source, kClosedForm);
  // B_θ in the gap is that of a straight wire, and nothing crosses or turns.
  const GapField::Flux flux = solution.gap.flux_density(0.061, 0.1);
  EXPECT_NEAR(flux.tangential / (mu0 * kAmpere / (2 * pi * 0.061)), 1, 1e-4);
  EXPECT_NEAR(flux.radial / flux.tangential, 0, 1e-4);  // at one point: the elements' own ripple
  EXPECT_NEAR(field.torque(solution), 0, 1e-6 * field.energy(solution));
}

INSTANTIATE_TEST_SUITE_P(Sectors, NonlinearAnnulus,
                         ::testing::Values(FieldCase{1, FarBoundary::floating}, FieldCase{3, FarBoundary::floating},
                                           FieldCase{3, FarBoundary::permeable}));

}  // namespace
}  // namespace polepitch::test
