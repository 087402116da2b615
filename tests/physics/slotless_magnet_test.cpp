// Surface magnets with radial magnetisation under a slotless permeable bore. Expected values (formula): Z. Q. Zhu,
// D. Howe, E. Bolte, B. Ackermann, "Instantaneous magnetic field distribution in brushless permanent magnet dc motors",
// Part I, IEEE Trans. Magn. 29(1), 1993: in mid-gap. The same by separation of variables in each ring, to more digits.
// As there, what lies between the magnets has their permeability.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/layered_helper.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

struct MagnetRotor {
  int pole_pairs;
  double core, magnet, bore;  // m
  double arc;                 // share of the pole pitch
  double remanence, mu_r;
  int segments;  // of a pole; the two at its ends carry no magnet

  double middle() const { return 0.5 * (magnet + bore); }
};

constexpr MagnetRotor kEightPole = {4, 0.024, 0.028, 0.029, 0.8, 1.1, 1.05, 10};
constexpr MagnetRotor kFourPole = {2, 0.030, 0.035, 0.036, 5.0 / 6, 1.0, 1.05, 12};

Section draw(const MagnetRotor& rotor) {
  RingMachine m;
  m.pole_pairs = rotor.pole_pairs;
  m.sectors = 2 * rotor.pole_pairs;
  m.sign = -1;
  m.segments = rotor.segments * m.sectors;
  m.rotor_radii = {rotor.core, rotor.magnet};
  m.stator_radii = {rotor.bore};
  m.rotor_start = -pi / m.sectors;
  m.inner = m.outer = FarBoundary::permeable;
  m.dress = [&](Side side, int ring, int segment, double, Region& r) {
    if (side != Side::rotor || ring != 0) return;
    r.material = "magnet";
    if (segment > 0 && segment < rotor.segments - 1) r.magnetisation = {Magnetisation::Pattern::radial, 0, 1};
  };
  return draw_rings(m);
}

/// Amplitude of the electrical order in mid-gap by separation of variables.
LayeredField exact(const MagnetRotor& rotor, int order) {
  // Square wave of the arc: B_ν = (4/(νπ)) Br sin(νπ arc/2), ν odd.
  const double b = 4 / (order * pi) * rotor.remanence * std::sin(order * pi * rotor.arc / 2);
  return {order * rotor.pole_pairs, rotor.core, {{rotor.magnet, rotor.mu_r, 0, b}, {rotor.bore, 1, 0, 0}}};
}

GapField::FluxOrder order_of(const MagnetRotor& rotor, const GapField& gap, int order) {
  for (const GapField::FluxOrder& f : gap.spectrum(rotor.middle()))
    if (f.order == order * rotor.pole_pairs) return f;
  ADD_FAILURE() << "the gap has no order " << order;
  return {};
}

StaticSolution solve(const MagnetRotor& rotor, double density) {
  const Section section = draw(rotor);
  const Mesh mesh = mesh_section(section, {density, true});
  StaticField field(section, mesh, ring_materials(rotor.remanence, rotor.mu_r));
  return field.solve({});
}

void record_zhu(const std::string& quantity, double computed, double expected, double tolerance) {
  record_check("surface magnets, " + quantity, computed, expected, tolerance, "T",
               "Zhu, Howe, Bolte, Ackermann 1993 (formula)", kPublished);
}

// Tolerance: half a unit of the last published digit and 1e-5 of the largest harmonic for the discretisation (the edges
// of the magnets carry sheets of current that end in corners, where B has a logarithm).
TEST(SlotlessMagnets, EightPoles) {
  const GapField gap = solve(kEightPole, 2).gap;
  const auto first = order_of(kEightPole, gap, 1), third = order_of(kEightPole, gap, 3);
  record_zhu("8 poles, field solution: B_r1", first.radial.real(), 0.952517, 1.1e-5);
  record_zhu("8 poles, field solution: B_θ1", std::abs(first.tangential), 0.066157, 1.1e-5);
  record_zhu("8 poles, field solution: B_r3", third.radial.real(), -0.165464, 1.1e-5);
}

TEST(SlotlessMagnets, FourPoles) {
  const GapField gap = solve(kFourPole, 2).gap;
  record_zhu("4 poles, field solution: B_r1", order_of(kFourPole, gap, 1).radial.real(), 0.937648, 1.1e-5);
  record_zhu("4 poles, field solution: B_r3", order_of(kFourPole, gap, 3).radial.real(), -0.219638, 1.1e-5);
  record_zhu("4 poles, field solution: B_r5", order_of(kFourPole, gap, 5).radial.real(), 0.044988, 1.1e-5);
}

// The two closed forms agree: published formula and separation of variables are one solution. Half a unit of the last
// published digit.
TEST(SlotlessMagnets, SeparationOfVariablesGivesThePublishedValues) {
  record_zhu("8 poles, separation of variables: B_r1", exact(kEightPole, 1).radial(0.0285).real(), 0.952517, 5e-7);
  record_zhu("8 poles, separation of variables: B_θ1", std::abs(exact(kEightPole, 1).tangential(0.0285)), 0.066157,
             5e-7);
  EXPECT_NEAR(exact(kEightPole, 3).radial(0.0285).real(), -0.165464, 5e-7);
  record_zhu("4 poles, separation of variables: B_r1", exact(kFourPole, 1).radial(0.0355).real(), 0.937648, 5e-7);
  EXPECT_NEAR(exact(kFourPole, 3).radial(0.0355).real(), -0.219638, 5e-7);
  EXPECT_NEAR(exact(kFourPole, 5).radial(0.0355).real(), 0.044988, 5e-7);
}

// Radial and tangential components, amplitude and sign, of all orders that carry flux, in turned rotors too.
TEST(SlotlessMagnets, EveryOrderOfATurnedRotor) {
  const Section section = draw(kEightPole);
  const Mesh mesh = mesh_section(section, {2, true});
  StaticField field(section, mesh, ring_materials(kEightPole.remanence, kEightPole.mu_r));
  Excitation turned;
  turned.rotor_angle = 0.21;
  const StaticSolution solution = field.solve(turned);
  for (int order : {1, 3, 5, 7, 9, 11, 13}) {
    const GapField::FluxOrder found = order_of(kEightPole, solution.gap, order);
    const LayeredField expected = exact(kEightPole, order);
    const std::complex<double> phase = std::polar(1.0, -order * kEightPole.pole_pairs * 0.21);
    EXPECT_NEAR(std::abs(found.radial - phase * expected.radial(0.0285)), 0, 1e-5) << order;
    EXPECT_NEAR(std::abs(found.tangential - phase * expected.tangential(0.0285)), 0, 1e-5) << order;
  }
}

}  // namespace
}  // namespace polepitch::test
