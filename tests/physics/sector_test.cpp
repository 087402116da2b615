// A sector is the whole machine: its mesh copied round, solved without any symmetry, gives the same numbers. Expected:
// the sector's own (identity); 1e-9 is what Newton at 1e-10 leaves.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/physics/full_machine_helper.h"
#include "tests/physics/machine_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

class Sector : public ::testing::TestWithParam<const char*> {};

void expect_same_orders(const GapField& part, const GapField& whole) {
  const double scale = std::abs(part.harmonics.front().stator) + std::abs(part.harmonics[1].stator);
  size_t k = 0;
  for (const GapHarmonic& h : whole.harmonics) {
    if (k < part.harmonics.size() && part.harmonics[k].order == h.order) {
      EXPECT_NEAR(std::abs(h.stator - part.harmonics[k].stator), 0, 1e-9 * scale) << h.order;
      EXPECT_NEAR(std::abs(h.rotor - part.harmonics[k].rotor), 0, 1e-9 * scale) << h.order;
      ++k;
    } else {
      EXPECT_NEAR(std::abs(h.stator), 0, 1e-9 * scale) << h.order;  // an order that the sector does not admit
      EXPECT_NEAR(std::abs(h.rotor), 0, 1e-9 * scale) << h.order;
    }
  }
  EXPECT_EQ(k, part.harmonics.size());
}

TEST_P(Sector, EqualsTheWholeMachine) {
  const auto machine = make_machine(case_text(GetParam()), 0.3);
  ASSERT_GT(machine->section.sectors, 1);
  const FullMachine full = copy_round(machine->section, machine->mesh);
  ASSERT_EQ(full.mesh.triangles.size(), machine->mesh.triangles.size() * machine->section.sectors);
  StaticField whole(full.section, full.mesh, machine->kase.materials, {.tolerance = 1e-10});
  StaticField& part = *machine->field;
  const Excitation e = load_excitation(machine->section, 0.13);
  const StaticSolution a = part.solve(e), b = whole.solve(e);
  EXPECT_GT(std::abs(part.torque(a)), 1);
  const std::string name = GetParam(), source = "whole machine solved without symmetry (identity)";
  record_check(name + ": torque of the whole machine over the sector's", whole.torque(b) / part.torque(a), 1, 1e-9, "1",
               source, kByConstruction);
  record_check(name + ": energy of the whole machine over the sector's", whole.energy(b) / part.energy(a), 1, 1e-9, "1",
               source, kByConstruction);
  EXPECT_NEAR(whole.torque_virtual_work(b, Side::rotor) / part.torque_virtual_work(a, Side::rotor), 1, 1e-9);
  const auto x = part.linkages(a), y = whole.linkages(b);
  for (size_t k = 0; k < x.size(); ++k) EXPECT_NEAR(y[k], x[k], 1e-9 * std::abs(x[0])) << k;
  expect_same_orders(a.gap, b.gap);
}

INSTANTIATE_TEST_SUITE_P(Machines, Sector, ::testing::Values("salient", "cage"),
                         [](const auto& machine) { return std::string(machine.param); });

}  // namespace
}  // namespace polepitch::test
