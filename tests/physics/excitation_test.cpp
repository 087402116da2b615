// Signs of currents, fields and torque, and machines that must not turn. Expected: the conventions of docs/theory.md
// (IEEE Std 1110, q leads d; counter-clockwise is positive).
#include <gtest/gtest.h>

#include <cmath>

#include "post/dq.h"
#include "post/gap_quantities.h"
#include "tests/cases/case_text_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

TEST(Signs, FieldCurrentLinksTheDAxis) {
  const auto machine = make_machine(case_text("salient"), 0.3);
  for (double angle : {0.0, 0.3, 1.1, 4.0}) {
    const Excitation e = dq_excitation(machine->section, {0, 0, 0}, 5, angle);
    const StaticSolution s = machine->field->solve(e);
    const Dq linkage = phases_to_dq(machine->section, machine->field->linkages(s), angle);
    EXPECT_GT(linkage.d, 0.1) << angle;
    EXPECT_NEAR(linkage.q, 0, 0.02 * linkage.d) << angle;  // only the slots' ripple
    EXPECT_GT(machine->field->linkages(s)[field_branch(machine->section)], 0);
    // The pole's flux leaves the rotor where the d-axis points.
    EXPECT_GT(s.gap.flux_density(s.gap.mean_radius(), angle).radial, 0.3) << angle;
  }
}

TEST(Signs, QuadratureCurrentDrivesCounterClockwise) {
  const auto machine = make_machine(case_text("salient"), 0.3);
  const auto torque = [&](Dq current, double field_current, double angle) {
    return machine->field->torque(
        machine->field->solve(dq_excitation(machine->section, current, field_current, angle)));
  };
  for (double angle : {0.05, 0.9}) {
    EXPECT_GT(torque({0, 30, 0}, 8, angle), 10) << angle;
    EXPECT_LT(torque({0, -30, 0}, 8, angle), -10) << angle;
    // Reluctance torque of X_d > X_q: T = (m/2) p (L_d − L_q) i_d i_q.
    EXPECT_GT(torque({20, 20, 0}, 0, angle), 1) << angle;
    EXPECT_LT(torque({-20, 20, 0}, 0, angle), -1) << angle;
  }
}

TEST(Signs, PhaseCurrentMagnetisesItsOwnAxis) {
  const auto machine = make_machine(case_text("cage"), 0.3);
  for (int phase = 0; phase < 3; ++phase) {
    std::vector<double> currents(3, 0.0);
    currents[phase] = 10;
    const StaticSolution s = machine->field->solve(phase_excitation(machine->section, currents, 0, 0));
    EXPECT_GT(machine->field->linkages(s)[phase], 0);
    const double axis = machine->section.branches[phase].angle;
    const double at = -std::arg(std::polar(1.0, 2 * axis) * std::conj(fundamental_radial(s.gap, 2)));
    EXPECT_NEAR(at, 0, 0.02) << phase;  // 1° electrical: the rotor's bars are not symmetrical about every axis
  }
}

/// Turn [rad, electrical] of the gap's fundamental while the supply goes on by `step`, with two phases swapped or not.
double field_turn(TestMachine& machine, double step, bool swapped) {
  std::complex<double> before, after;
  for (auto [phase, found] : {std::pair{0.0, &before}, std::pair{step, &after}}) {
    std::vector<double> currents;
    for (int k = 0; k < 3; ++k) currents.push_back(10 * std::cos(phase - 2 * pi / 3 * k));
    if (swapped) std::swap(currents[1], currents[2]);
    *found = fundamental_radial(machine.field->solve(phase_excitation(machine.section, currents, 0, 0)).gap, 2);
  }
  return std::arg(after / before);
}

TEST(Signs, PositiveSequenceTurnsTheFieldCounterClockwise) {
  const auto machine = make_machine(case_text("cage"), 0.3);
  EXPECT_NEAR(field_turn(*machine, 0.5, false), 0.5, 0.03);
  EXPECT_NEAR(field_turn(*machine, 0.5, true), -0.5, 0.03);
}

// A magnet rotor in a slotless stator without current: nothing to hold it, torque 0 (formula). Bound: 1e-5 of the
// torque at its rated current, as a prototype reached on meshes of this size.
TEST(Torque, SlotlessMachineWithoutCurrentDoesNotTurn) {
  const auto machine = make_machine(case_text("slotless"), 1);
  Excitation loaded = dq_excitation(machine->section, {0, 30, 0}, 0, 0.1);
  const double reference = machine->field->torque(machine->field->solve(loaded));
  EXPECT_GT(reference, 1);
  for (double angle : {0.1, 0.2, 0.31}) {
    Excitation quiet;
    quiet.rotor_angle = angle;
    const double torque = machine->field->torque(machine->field->solve(quiet));
    record_check(fmt::format("slotless magnet machine without current, rotor at {} rad: torque", angle),
                 torque / reference, 0, 1e-5, "of that at load", "nothing to hold the rotor (formula)", kClosedForm);
  }
}

}  // namespace
}  // namespace polepitch::test
