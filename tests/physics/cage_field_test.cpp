// A saturated cage machine as a time-harmonic field: convergence at every slip, powers that close, rings by their
// textbook factor, and the no-load field against the static one.
#include "solver/cage_field.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "post/cage_data.h"
#include "post/dq.h"
#include "solver/locus_law.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

constexpr double kOmega = 2 * std::numbers::pi * 50;
constexpr RingSegment kRing{1.2e-6, 5e-9};

std::string cage_motor() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/cage-motor.toml");
  text.resize(text.find("[[study]]"));
  return text;
}

CageExcitation at_slip(double slip) {
  return {kOmega, slip, true, 230.94 * std::sqrt(2.0), 0.1968, 0.575e-3};
}

/// The convention of the library's steel, 1.5 T pulsating: 512.26 A/m by the fundamental of H (formula: the integral
/// over the same table by fine quadrature). Sixteen instants leave 1.3e-4.
TEST(CageField, FundamentalOfHOfAMeasuredSteel) {
  auto machine = make_machine(case_text("cage"), 0.3);
  const BhCurve curve = machine->kase.materials.at("M400-50A").curve(1);
  const double b[4] = {1.5, 0, 0, 0};
  record_check("M400-50A, 1.5 T pulsating: fundamental of H", locus_law(curve, b).h[0], 512.26, 0.1, "A/m",
               "fine quadrature of the same table (formula)", kClosedForm);
}

/// At every slip the field converges, and powers close: the gap's power s T ω/p is the loss of bars and rings, and the
/// terminals' power copper loss and T ω/p. True by construction of the coupling, so to Newton's rest: tests the code.
TEST(CageField, ConvergesAtEverySlipAndClosesItsPowers) {
  auto machine = make_machine(cage_motor(), 0.25);
  CageField field(machine->section, machine->mesh, machine->kase.materials, kRing);
  CageSolution last;
  for (double slip : {1.5, 1.0, 0.4, 0.1, 0.02, 1e-3, 1e-4, -0.02, -0.3}) {
    const CageExcitation e = at_slip(slip);
    last = field.solve(e, last.a.empty() ? nullptr : &last);
    const double gap_power = last.torque * kOmega / 2;
    const double scale = std::abs(gap_power) + 1;  // W
    EXPECT_NEAR(slip * gap_power, last.bar_loss + last.ring_loss, 1e-5 * scale) << slip;
    const double into = 1.5 * std::real(e.supply * std::conj(last.current));
    const double apparent = 1.5 * std::abs(e.supply * last.current);
    EXPECT_NEAR(into, 1.5 * e.resistance * std::norm(last.current) + gap_power, 1e-5 * apparent) << slip;
    EXPECT_NEAR(std::abs(last.voltage - e.supply), 0, 1e-6 * std::abs(e.supply)) << slip;
    EXPECT_EQ(std::signbit(last.torque), slip < 0) << slip;
    // The one wave that crosses the gap carries the whole torque, at every instant.
    const double carried = field.instant(last).gap.torque_per_length() * machine->section.length;
    EXPECT_NEAR(carried, last.torque, 1e-6 * (std::abs(last.torque) + 1)) << slip;
  }
}

/// formula (textbooks): a ring's segments add R_segment/(2 sin²(πp/Q)) to a bar, so at small slip, where bars have no
/// skin effect, losses stand as these. What is left is skin effect and the bars' harmonics.
TEST(CageField, RingsLoseWhatTheTextbookSays) {
  auto machine = make_machine(cage_motor(), 0.25);
  CageField field(machine->section, machine->mesh, machine->kase.materials, kRing);
  const CageSolution s = field.solve(at_slip(1e-3));
  const CageData cage = cage_data(machine->section, {}, machine->kase.materials, 293.15);
  const double ring = bar_with_rings(0, kRing.resistance, 2, cage.bars);
  record_check("loss of both rings over loss of the bars, small slip", s.ring_loss / s.bar_loss, ring / cage.bar,
               1e-3 * ring / cage.bar, "1", "R_segment/(2 sin^2(pi p/Q)) to R_bar (formula)", kClosedForm);
}

/// A machine of constant permeability on no load against the static field at the same currents. They differ in what
/// the other orders see across the gap (a smooth surface here), half a percent of the linkage of a slotted machine.
TEST(CageField, NoLoadIsTheStaticField) {
  std::string text = replaced(cage_motor(), "\"M400-50A\"", "\"linear-steel\"");
  text = replaced(text, "\"shaft-steel\"", "\"linear-steel\"");
  auto machine = make_machine(text, 0.3);
  CageField field(machine->section, machine->mesh, machine->kase.materials, kRing);
  CageExcitation e = at_slip(0);
  e.voltage_fed = false;
  e.supply = 10;
  const CageSolution s = field.solve(e);
  double mean = 0;
  constexpr int positions = 5;
  for (int k = 0; k < positions; ++k) {
    const double angle = 2 * std::numbers::pi / 40 * k / positions;
    const Excitation held = dq_excitation(machine->section, {10, 0, 0}, 0, 0);
    Excitation turned = held;
    turned.rotor_angle = angle;
    const StaticSolution at = machine->field->solve(turned);
    mean += phases_to_dq(machine->section, machine->field->linkages(at), 0).d / positions;
  }
  EXPECT_NEAR(s.linkage.real(), mean, 5e-3 * mean);
  EXPECT_NEAR(s.linkage.imag(), 0, 1e-6 * mean);
  EXPECT_NEAR(s.torque, 0, 1e-6);
}

/// From a field far away the iteration finds what it finds from nothing. 1e-6: Newton's rest.
TEST(CageField, FarStartsLeadToTheSameField) {
  auto machine = make_machine(cage_motor(), 0.2);
  CageField field(machine->section, machine->mesh, machine->kase.materials, kRing);
  const CageSolution loaded = field.solve(at_slip(0.3));
  CageExcitation low = at_slip(0);
  low.supply *= 0.1;
  const CageSolution from_there = field.solve(low, &loaded);
  field.forget();
  const CageSolution from_nothing = field.solve(low);
  EXPECT_NEAR(std::abs(from_there.current - from_nothing.current), 0, 1e-6 * std::abs(from_nothing.current));
}

TEST(CageField, BarsWithoutConductivityAreTold) {
  auto machine = make_machine(replaced(cage_motor(), "bars = 40", "bars = 40\nbar_material = \"air\""), 0.2);
  EXPECT_THROW(CageField(machine->section, machine->mesh, machine->kase.materials, kRing), InputError);
}

}  // namespace
}  // namespace polepitch::test
