// A small share of the random machines; tests/robustness/random_machines runs thousands (docs/robustness.md).
#include <gtest/gtest.h>

#include "tests/robustness/random_machine_helper.h"

namespace polepitch {
namespace {

TEST(RandomMachines, AreSolvedOrRefusedWithAParametersName) {
  int solved = 0, refused = 0;
  for (std::uint64_t number = 1; number <= 24; ++number) {
    const RandomMachine machine = random_machine(number);
    const Verdict verdict = try_machine(machine);
    EXPECT_EQ(verdict.fault, "") << number << ": exit code " << verdict.exit_code << "\n"
                                 << verdict.told << machine.text;
    (verdict.exit_code == 0 ? solved : refused) += 1;
  }
  EXPECT_GE(solved, 6) << "the machines are drawn so wildly that they show little";
  EXPECT_GE(refused, 6);
}

TEST(RandomMachines, OfLaterKindsToo) {
  for (const auto& [first, count] : {std::pair{kLaterKinds, 10}, std::pair{kOuterKinds, 6}})
    for (std::uint64_t number = first; number < first + static_cast<std::uint64_t>(count); ++number) {
      const RandomMachine machine = random_machine(number);
      const Verdict verdict = try_machine(machine);
      EXPECT_EQ(verdict.fault, "") << number << ": exit code " << verdict.exit_code << "\n"
                                   << verdict.told << machine.text;
    }
}

TEST(RandomMachines, AreTheSameForTheSameNumber) {
  EXPECT_EQ(random_machine(7).text, random_machine(7).text);
  EXPECT_NE(random_machine(7).text, random_machine(8).text);
}

TEST(RandomMachines, WhatNamesAParameter) {
  EXPECT_TRUE(names_parameter("rotor.air_gap = 0 mm is too small"));
  EXPECT_TRUE(names_parameter("stator.slots = 7 does not fit"));
  EXPECT_FALSE(names_parameter("the mesh is too coarse for 7 slots"));
}

}  // namespace
}  // namespace polepitch
