#include "post/reactances.h"

#include <gtest/gtest.h>

#include <cmath>

#include "field_machine_helper.h"
#include "post/gap_factors.h"

namespace polepitch {
namespace {

using testing::small_machine;

StaticSolution loaded(testing::SmallMachine& machine, const Dq& current = {-20, 60, 0}, double angle = 0.07) {
  return machine.field->solve(dq_excitation(machine.section, current, 4, angle));
}

// Signs: ψ_d > 0 for i_f > 0, and every self-inductance is positive.
TEST(Reactances, FieldCurrentMagnetisesTheDAxis) {
  auto machine = small_machine();
  const StaticSolution solution = loaded(*machine, {});
  const Dq linkage = phases_to_dq(machine->section, machine->field->linkages(solution), solution.rotor_angle);
  EXPECT_GT(linkage.d, 0);
  EXPECT_LT(std::abs(linkage.q), 0.2 * linkage.d);
  const InductanceMatrix l = frozen_inductances(*machine->field, solution).apparent;
  EXPECT_GT(l.dd, 0);
  EXPECT_GT(l.qq, 0);
  EXPECT_GT(l.df, 0);
  EXPECT_GT(l.ff, 0);
  EXPECT_GT(l.dd, l.qq);  // salient: the pole's axis has the larger permeance
}

// Identity: the frozen field is linear, so its parts sum to the total linkage, to 1e-12 times Newton's own residue.
TEST(Reactances, FrozenPartsSumToTheTotalLinkage) {
  auto machine = small_machine();
  StaticField& field = *machine->field;
  const Dq current{-20, 60, 0};
  const StaticSolution solution = loaded(*machine, current);
  const InductanceMatrix l = frozen_inductances(field, solution).apparent;
  const std::vector<double> linkages = field.linkages(solution);
  const Dq linkage = phases_to_dq(machine->section, linkages, solution.rotor_angle);
  EXPECT_NEAR(l.dd * current.d + l.dq * current.q + l.df * 4, linkage.d, 1e-10 * linkage.d);
  EXPECT_NEAR(l.qd * current.d + l.qq * current.q + l.qf * 4, linkage.q, 1e-10 * linkage.q);
  EXPECT_NEAR(l.fd * current.d + l.fq * current.q + l.ff * 4, linkages[3], 1e-10 * linkages[3]);
}

// Formula: reciprocity of a linear field, λ_f/i_d = (m/2) λ_d/i_f in the amplitude-invariant frame.
TEST(Reactances, MutualsAreReciprocal) {
  auto machine = small_machine();
  const StaticSolution solution = loaded(*machine);
  for (const InductanceMatrix& l :
       {frozen_inductances(*machine->field, solution).apparent, incremental_inductances(*machine->field, solution)}) {
    EXPECT_NEAR(l.fd, 1.5 * l.df, 1e-10 * l.fd);
    EXPECT_NEAR(l.fq, 1.5 * l.qf, 1e-10 * l.fd);
    EXPECT_NEAR(l.dq, l.qd, 1e-10 * l.dd);
  }
}

// Identity: the Newton tangent's inductance is the limit of a small perturbation (central difference).
TEST(Reactances, IncrementalEqualsASmallPerturbation) {
  auto machine = small_machine();
  const InductanceMatrix l = incremental_inductances(*machine->field, loaded(*machine));
  const double step = 1e-2;
  const auto linkage = [&](double d, double q) {
    const StaticSolution s = loaded(*machine, {-20 + d, 60 + q, 0});
    return phases_to_dq(machine->section, machine->field->linkages(s), s.rotor_angle);
  };
  const Dq d1 = linkage(step, 0), d0 = linkage(-step, 0), q1 = linkage(0, step), q0 = linkage(0, -step);
  EXPECT_NEAR(l.dd, (d1.d - d0.d) / (2 * step), 1e-6 * l.dd);
  EXPECT_NEAR(l.qd, (d1.q - d0.q) / (2 * step), 1e-6 * l.dd);
  EXPECT_NEAR(l.dq, (q1.d - q0.d) / (2 * step), 1e-6 * l.dd);
  EXPECT_NEAR(l.qq, (q1.q - q0.q) / (2 * step), 1e-6 * l.dd);
}

// In unsaturated iron the apparent and the incremental inductance are one thing.
TEST(Reactances, ApparentEqualsIncrementalInLinearIron) {
  auto machine = small_machine({.nonlinear = false});
  const StaticSolution solution = loaded(*machine);
  const InductanceMatrix a = frozen_inductances(*machine->field, solution).apparent;
  const InductanceMatrix b = incremental_inductances(*machine->field, solution);
  EXPECT_NEAR(a.dd, b.dd, 1e-11 * a.dd);
  EXPECT_NEAR(a.qq, b.qq, 1e-11 * a.dd);
  EXPECT_NEAR(a.df, b.df, 1e-11 * a.df);
}

TEST(Reactances, SplitSumsToTheApparentInductance) {
  auto machine = small_machine();
  const FrozenInductances l = frozen_inductances(*machine->field, loaded(*machine), 1e-4);
  EXPECT_NEAR(l.d.total() + l.end_winding, l.apparent.dd, 1e-10 * l.apparent.dd);
  EXPECT_NEAR(l.q.total() + l.end_winding, l.apparent.qq, 1e-10 * l.apparent.qq);
  const Reactances x = reactances(l, 314);
  EXPECT_NEAR(x.ad + x.l, x.d, 1e-12 * x.d);
  EXPECT_NEAR(x.l, 0.5 * (x.l_d + x.l_q), 1e-12 * x.d);
  EXPECT_NEAR(x.md + x.l_d, x.d, 1e-10 * x.d);
  EXPECT_EQ(reactances(l, 314, 3, 0.5).l, 0.5);
}

// Formula: slotless main inductance (theory.md eq. 31) with Carter's gap in place of the gap: q = 1, k_w1 = 1, N =
// 40 in series (two coils of 20), on the mean gap circle of a smooth rotor with permeable iron. Carter's factor itself
// is good to a few per cent for open slots of 7 gaps' width.
TEST(Reactances, MainInductanceOfASmoothRotorAgreesWithTheHandCalculation) {
  auto machine = small_machine({.salient = false, .nonlinear = false});
  StaticField& field = *machine->field;
  double sum = 0;
  const int positions = 6;
  for (int i = 0; i < positions; ++i) {
    const Excitation e = dq_excitation(machine->section, {10, 0, 0}, 0, pi / 12 * i / positions);
    sum += magnetising_point(field, field.solve(e), e).main_inductance() / positions;
  }
  const double bore = 50e-3, gap = 1e-3, pitch = 2 * pi * bore / 12, opening = bore * 8 * pi / 180;
  const double equivalent = gap * carter_factor(pitch, opening, gap);
  const double expected = slotless_main_inductance(3, 2, 40, 1, 0.1, bore - equivalent, bore);
  EXPECT_NEAR(sum / expected, 1, 0.08);
}

// The magnetising point projects on the current's axis whatever that axis is.
TEST(Reactances, MagnetisingPointFollowsTheCurrent) {
  auto machine = small_machine({.salient = false, .nonlinear = false});
  StaticField& field = *machine->field;
  const Excitation e = dq_excitation(machine->section, {6, 8, 0}, 0, 0);
  const StaticSolution solution = field.solve(e);
  const MagnetisingPoint point = magnetising_point(field, solution, e, 2e-4);
  EXPECT_NEAR(point.current, 10, 1e-12);
  const Dq linkage = phases_to_dq(machine->section, field.linkages(solution), 0);
  EXPECT_NEAR(point.parts.total(), (6 * linkage.d + 8 * linkage.q) / 100, 1e-10 * point.parts.total());
  EXPECT_NEAR(point.leakage_inductance(), point.parts.leakage() + 2e-4, 1e-18);
}

TEST(Reactances, MeanOverPositions) {
  InductanceMatrix one, two;
  one.dd = 1;
  two.dd = 3;
  two.ff = 8;
  const InductanceMatrix both[] = {one, two};
  EXPECT_EQ(mean(both).dd, 2);
  EXPECT_EQ(mean(both).ff, 4);
}

// Formula: with the field's linkage held, λ_d falls to L_dd − L_df L_fd/L_ff; the circuit of IEC 61970-302 on the
// reciprocal base says the same. Algebra, so to rounding: a test of the bases, not of the field.
TEST(Reactances, TransientReactanceIsThatOfAFieldOfHeldLinkage) {
  auto machine = small_machine();
  const FrozenInductances l = frozen_inductances(*machine->field, loaded(*machine), 1e-4);
  const Reactances x = reactances(l, 314);
  const InductanceMatrix& a = l.apparent;
  EXPECT_NEAR(x.transient, 314 * (a.dd - a.df * a.fd / a.ff), 1e-9 * x.d);
  EXPECT_GT(x.field_leakage, 0);
  EXPECT_LT(x.transient, x.d);
}

// Formula: energy of one ampere in every phase, W = (m/2) λ_0, of a linear field: another integral over the same field.
// And of full pitch the zero-sequence MMF is the third harmonic's, so X_0 stays well under X_d.
TEST(Reactances, ZeroSequenceLinkageIsTwiceItsEnergy) {
  auto machine = small_machine({.nonlinear = false});
  StaticField& field = *machine->field;
  Excitation unit = dq_excitation(machine->section, {0, 0, 1}, 0, 0.07);
  unit.magnets = 0;
  const StaticSolution solution = field.solve(unit);
  const FrozenInductances l = frozen_inductances(field, solution);
  EXPECT_NEAR(l.zero, 2 * field.energy(solution) / 3, 1e-8 * l.zero);
  EXPECT_LT(l.zero, 0.5 * l.apparent.dd);
}

// Formula: with the field base current at ratio × the base current, ω L_df i_fb equals X_ad i_b.
TEST(Reactances, FieldBaseMakesMutualsEqual) {
  FrozenInductances l;
  l.apparent.dd = 10e-3;
  l.apparent.df = 90e-3;
  l.d.slot = l.q.slot = 1e-3;
  const Reactances x = reactances(l, 314);
  EXPECT_NEAR(x.field_mutual * field_base_ratio(l, 314, x), x.ad, 1e-12);
}

}  // namespace
}  // namespace polepitch
