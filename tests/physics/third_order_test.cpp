// Third-order elements on the second order's mesh: against closed form and a far finer mesh, and as one whole with
// themselves (sector and whole machine, energy and linkage).
#include <gtest/gtest.h>

#include <cmath>

#include "tests/cases/case_text_helper.h"
#include "tests/physics/full_machine_helper.h"
#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

SolverOptions options_of(bool third_order) {
  SolverOptions options;
  options.tolerance = 1e-10;
  options.third_order = third_order;
  return options;
}

struct Errors {
  double torque = 0, linkage = 0;
};

/// Largest errors over a few angles, over the largest values.
Errors errors_against(StaticField& field, const std::vector<StaticSolution>& truth, const StaticField& fine) {
  double torque = 0, linkage = 0;
  Errors errors;
  for (const StaticSolution& expected : truth) {
    const StaticSolution found = field.solve(load_excitation(field.section(), expected.rotor_angle));
    torque = std::max(torque, std::abs(fine.torque(expected)));
    errors.torque = std::max(errors.torque, std::abs(field.torque(found) - fine.torque(expected)));
    const std::vector<double> a = field.linkages(found), b = fine.linkages(expected);
    for (int phase = 0; phase < 3; ++phase) {
      linkage = std::max(linkage, std::abs(b[phase]));
      errors.linkage = std::max(errors.linkage, std::abs(a[phase] - b[phase]));
    }
  }
  return {errors.torque / torque, errors.linkage / linkage};
}

// Truth: third order at six times the density, some thirty times the triangles, whose own error is a hundredth of the
// measured ones (energy errors fall with the fourth power of the edge in smooth parts, with the first to second at
// corners). Built-in sizes leave corners coarse, where a higher order helps least: linkages gain three times, torque
// one and a half at least (smooth fields would gain twenty).
TEST(ThirdOrder, LessErrorOnTheSameMesh) {
  const auto machine = make_machine(case_text("salient"), 0.5);
  const Mesh fine_mesh = mesh_section(machine->section, {3});
  StaticField fine(machine->section, fine_mesh, machine->kase.materials, options_of(true));
  std::vector<StaticSolution> truth;
  for (const double angle : {0.02, 0.11, 0.19}) truth.push_back(fine.solve(load_excitation(machine->section, angle)));
  StaticField second(machine->section, machine->mesh, machine->kase.materials, options_of(false));
  StaticField third(machine->section, machine->mesh, machine->kase.materials, options_of(true));
  const Errors low = errors_against(second, truth, fine), high = errors_against(third, truth, fine);
  RecordProperty("second", std::to_string(low.torque) + " " + std::to_string(low.linkage));
  RecordProperty("third", std::to_string(high.torque) + " " + std::to_string(high.linkage));
  EXPECT_LT(high.linkage, low.linkage / 3) << low.linkage;
  EXPECT_LT(high.torque, low.torque / 1.5) << low.torque;
}

// One antiperiodic sector and the whole machine copied from it: edges' bubbles change sign and direction at the seams.
// Solved to the end, so that round-off and Newton's tolerance are all that differs. The rotor outside has open air
// around it.
TEST(ThirdOrder, SectorIsTheWholeMachine) {
  for (const char* name : {"salient", "outer"}) {
    const auto machine = make_machine(case_text(name), 0.3);
    const FullMachine full = copy_round(machine->section, machine->mesh);
    SolverOptions options = options_of(true);
    options.third_order_steps = 8;
    options.third_order_residual = 1e-6;
    StaticField sector(machine->section, machine->mesh, machine->kase.materials, options);
    StaticField whole(full.section, full.mesh, machine->kase.materials, options);
    const Excitation load = load_excitation(machine->section, 0.07);
    const StaticSolution one = sector.solve(load), other = whole.solve(load);
    EXPECT_NEAR(whole.torque(other) / sector.torque(one), 1, 1e-6) << name;
    EXPECT_NEAR(whole.energy(other) / sector.energy(one), 1, 1e-6) << name;
    const std::vector<double> a = sector.linkages(one), b = whole.linkages(other);
    for (int phase = 0; phase < 3; ++phase)
      EXPECT_NEAR(b[phase], a[phase], 1e-6 * std::abs(a[0]) + 1e-6 * std::abs(a[1])) << name;
  }
}

// λ = ∂W'/∂i, a code check: bubbles are counted alike in energy, linkage and sources. Solved to the end, which the two
// steps of everyday do not (2.6e-4 is left on this coarse mesh): 1e-5 by the difference in place of the slope is open.
TEST(ThirdOrder, LinkageIsTheSlopeOfCoenergy) {
  const auto machine = make_machine(case_text("salient"), 0.3);
  SolverOptions options = options_of(true);
  options.third_order_steps = 8;
  options.third_order_residual = 1e-8;
  StaticField field(machine->section, machine->mesh, machine->kase.materials, options);
  const Excitation at = load_excitation(machine->section, 0.05);
  const StaticSolution start = field.solve(at);
  const std::vector<double> linkages = field.linkages(start);
  for (const size_t branch : {0u, 3u}) {
    double coenergy[2];
    const double step = 0.005 * std::max(10.0, std::abs(at.currents[branch]));
    for (int sign : {0, 1}) {
      Excitation e = at;
      e.currents[branch] += (2 * sign - 1) * step;
      coenergy[sign] = field.coenergy(field.solve(e, &start), e);
    }
    EXPECT_NEAR((coenergy[1] - coenergy[0]) / (2 * step) / linkages[branch], 1, 2e-5) << branch;
  }
}

TEST(ThirdOrder, FrozenFieldsAddUpToTheField) {
  const auto machine = make_machine(case_text("salient"), 0.3);
  StaticField field(machine->section, machine->mesh, machine->kase.materials, options_of(true));
  const Excitation load = load_excitation(machine->section, 0.05);
  const StaticSolution state = field.solve(load);
  Excitation stator = load, rotor = load;
  for (size_t b = 0; b < load.currents.size(); ++b) (b < 3 ? rotor : stator).currents[b] = 0;
  const std::vector<StaticSolution> parts = field.solve_frozen(state, {stator, rotor});
  const std::vector<double> whole = field.linkages(state), one = field.linkages(parts[0]),
                            other = field.linkages(parts[1]);
  for (int phase = 0; phase < 3; ++phase)
    EXPECT_NEAR(one[phase] + other[phase], whole[phase], 1e-3 * std::abs(whole[0]) + 1e-3 * std::abs(whole[1]));
}

// The unbounded outside of a thin yoke: second and third order agree on a fine mesh within the former's error there.
TEST(ThirdOrder, OpenBoundary) {
  const std::string text = replaced(case_text("salient"), "[machine]\n", "[machine]\nouter_boundary = \"open\"\n");
  const auto machine = make_machine(text, 1);
  StaticField second(machine->section, machine->mesh, machine->kase.materials, options_of(false));
  StaticField third(machine->section, machine->mesh, machine->kase.materials, options_of(true));
  const Excitation load = load_excitation(machine->section, 0.05);
  const StaticSolution low = second.solve(load), high = third.solve(load);
  EXPECT_NEAR(third.linkages(high)[3] / second.linkages(low)[3], 1, 3e-3);
  EXPECT_NEAR(third.energy(high) / second.energy(low), 1, 3e-3);
}

}  // namespace
}  // namespace polepitch::test
