// Newton's early end against the same points solved to the end (identity): what is left of torque and linkages is under
// a tenth of the accuracy, 5e-4, that the meshes are adapted to. Marches of 3° electrical as a study makes them.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/machine_helper.h"

namespace polepitch::test {
namespace {

class EarlyEnd : public ::testing::TestWithParam<const char*> {};

TEST_P(EarlyEnd, LeavesLessThanATenthOfTheAccuracy) {
  const auto machine = make_machine(case_text(GetParam()), 0.4);
  SolverOptions early;
  early.tolerance = 1e-6;
  early.stop_change = 1e-5;
  StaticField field(machine->section, machine->mesh, machine->kase.materials, early);
  StaticSolution full, brief;
  int full_steps = 0, brief_steps = 0;
  for (int k = 0; k < 8; ++k) {
    const Excitation e = load_excitation(machine->section, 0.05 + k * 0.05 / machine->section.pole_pairs);
    full = machine->field->solve(e, k > 0 ? &full : nullptr);
    brief = field.solve(e, k > 0 ? &brief : nullptr);
    full_steps += full.newton_steps;
    brief_steps += brief.newton_steps;
    const double torque = machine->field->torque(full);
    EXPECT_NEAR(field.torque(brief), torque, 5e-5 * std::abs(torque)) << k;
    const auto expected = machine->field->linkages(full), found = field.linkages(brief);
    double largest = 0;
    for (size_t b = 0; b < 3; ++b) largest = std::max(largest, std::abs(expected[b]));
    for (size_t b = 0; b < 3; ++b) EXPECT_NEAR(found[b], expected[b], 5e-5 * largest) << k << " phase " << b;
  }
  EXPECT_LT(brief_steps, full_steps);
}

INSTANTIATE_TEST_SUITE_P(Machines, EarlyEnd, ::testing::Values("salient", "cage"),
                         [](const auto& machine) { return std::string(machine.param); });

}  // namespace
}  // namespace polepitch::test
