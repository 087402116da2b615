// Identities that hold to round-off on any mesh (energy method, textbooks; bounds from a prototype's measurements):
// tests of the code, no evidence of accuracy. Saturated catalogue machines on coarse meshes: one antiperiodic pole, a
// periodic pair of poles whose annulus carries order 0 and whose shaft circle floats, and an antiperiodic half of a
// magnet rotor that turns around its stator.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "post/dq.h"
#include "tests/physics/machine_helper.h"
#include "tests/physics/ring_helper.h"
#include "tests/verification_helper.h"

namespace polepitch::test {
namespace {

class Identities : public ::testing::TestWithParam<const char*> {
 protected:
  Identities() : machine(make_machine(case_text(GetParam()), 0.3)) {}

  StaticSolution solve(const Excitation& e) {
    last_ = field().solve(e, last_.a.empty() ? nullptr : &last_);
    return last_;
  }
  double coenergy(const Excitation& e) { return field().coenergy(solve(e), e); }
  StaticField& field() { return *machine->field; }

  std::unique_ptr<TestMachine> machine;

 private:
  StaticSolution last_;
};

/// Derivative of `f` at 0 from four points, error of order step⁴.
template <class F>
double derivative(F f, double step) {
  return (8 * (f(step) - f(-step)) - (f(2 * step) - f(-2 * step))) / (12 * step);
}

// T = ∂W'/∂θ at constant currents. The step resolves 70 orders to 1e-8; W' is exact to round-off.
TEST_P(Identities, TorqueIsTheSlopeOfCoenergy) {
  for (double angle : {0.05, 0.21}) {
    Excitation e = load_excitation(machine->section, angle);
    const double torque = field().torque(solve(e));
    const double slope = derivative(
        [&](double step) {
          e.rotor_angle = angle + step;
          return coenergy(e);
        },
        3e-4);
    EXPECT_GT(std::abs(torque), 1) << "no load";
    record_check(fmt::format("{}, rotor at {} rad: slope of the co-energy over the torque", GetParam(), angle),
                 slope / torque, 1, 1e-6, "1", "T = ∂W'/∂θ (identity)", kByConstruction);
  }
}

// λ = ∂W'/∂i of every branch.
TEST_P(Identities, LinkageIsTheSlopeOfCoenergy) {
  const Excitation at = load_excitation(machine->section, 0.05);
  const std::vector<double> linkages = field().linkages(solve(at));
  double largest = 0;
  for (double l : linkages) largest = std::max(largest, std::abs(l));
  for (size_t b = 0; b < linkages.size(); b += b < 4 ? 1 : 5) {  // phases, field, some bars
    const double slope = derivative(
        [&](double step) {
          Excitation e = at;
          e.currents[b] += step;
          return coenergy(e);
        },
        1e-3 * std::max(10.0, std::abs(at.currents[b])));
    const std::string name = machine->section.branches[b].name;
    if (b < 4)
      record_check(fmt::format("{}, branch {}: slope of the co-energy less the linkage", GetParam(), name),
                   (slope - linkages[b]) / largest, 0, 1e-6, "of the largest linkage", "λ = ∂W'/∂i (identity)",
                   kByConstruction);
    EXPECT_NEAR(slope, linkages[b], 1e-6 * largest) << name;
  }
}

// A rotor turned on by a pole pitch with its currents and magnets reversed is the same machine. In the antiperiodic
// sector the annulus alone carries this; a periodic sector is turned on by two pole pitches.
TEST_P(Identities, ShiftByOnePoleRepeats) {
  const Section& section = machine->section;
  Excitation e = load_excitation(section, 0.05);
  const StaticSolution here = field().solve(e);
  const bool antiperiodic = section.sign < 0;
  e.rotor_angle += section.sector_angle();
  if (antiperiodic) e.magnets = -1;
  for (size_t b = 0; b < e.currents.size(); ++b)
    if (antiperiodic && section.branches[b].kind != BranchKind::phase) e.currents[b] *= -1;
  const StaticSolution there = field().solve(e);
  record_check(fmt::format("{}: torque after a turn by one sector", GetParam()),
               field().torque(there) / field().torque(here), 1, 1e-10, "of that before", "symmetry (identity)",
               kByConstruction);
  const auto a = field().linkages(here), b = field().linkages(there);
  for (size_t k = 0; k < a.size(); ++k) {
    const bool reversed = antiperiodic && section.branches[k].kind != BranchKind::phase;
    EXPECT_NEAR(reversed ? -b[k] : b[k], a[k], 1e-10 * std::abs(a[0])) << section.branches[k].name;
  }
}

// Frozen reluctivity: the parts of phases, field, bars and magnets sum to the whole linkage.
TEST_P(Identities, FrozenPartsSumToTheWhole) {
  const Excitation e = load_excitation(machine->section, 0.05);
  const StaticSolution whole = solve(e);
  std::vector<Excitation> sources;
  for (BranchKind kind : {BranchKind::phase, BranchKind::field, BranchKind::bar}) {
    Excitation part = e;
    part.magnets = 0;
    for (size_t b = 0; b < e.currents.size(); ++b)
      if (machine->section.branches[b].kind != kind) part.currents[b] = 0;
    sources.push_back(part);
  }
  Excitation magnets = e;
  magnets.currents.assign(e.currents.size(), 0.0);
  sources.push_back(magnets);
  const std::vector<StaticSolution> parts = field().solve_frozen(whole, sources);
  std::vector<double> sum(e.currents.size(), 0.0);
  for (const StaticSolution& part : parts) {
    const auto linkages = field().linkages(part);
    for (size_t b = 0; b < sum.size(); ++b) sum[b] += linkages[b];
  }
  const auto total = field().linkages(whole);
  for (size_t b = 0; b < sum.size(); ++b)
    EXPECT_NEAR(sum[b], total[b], 1e-10 * std::abs(total[0])) << machine->section.branches[b].name;
}

// Incremental inductance from the Newton tangent against a small change of current; and it is symmetric.
TEST_P(Identities, TangentInductanceIsThatOfASmallChange) {
  const Excitation at = load_excitation(machine->section, 0.05);
  const StaticSolution state = solve(at);
  const size_t count = at.currents.size(), looked_at = std::min<size_t>(4, count);
  std::vector<Excitation> units;
  for (size_t b = 0; b < looked_at; ++b) {
    Excitation unit;
    unit.currents.assign(count, 0.0);
    unit.currents[b] = 1;
    unit.magnets = 0;
    units.push_back(unit);
  }
  const auto changes = field().solve_tangent(state, units);
  const auto of_first = field().linkages(changes[0]);
  const double scale = std::abs(of_first[0]);
  for (size_t b = 0; b < looked_at; ++b) EXPECT_NEAR(field().linkages(changes[b])[0], of_first[b], 1e-10 * scale) << b;
  for (size_t b = 0; b < looked_at; ++b) {
    const double small = derivative(
        [&](double step) {
          Excitation e = at;
          e.currents[0] += step;
          return field().linkages(solve(e))[b];
        },
        0.01);
    EXPECT_NEAR(small, of_first[b], 1e-5 * scale) << b;  // the curves' second derivative has steps
  }
}

// Nodal virtual work beside the gap and the annulus are two discretisations of one torque: they meet as the mesh is
// refined. Three times finer is three times closer by first order, which the slots' corners hold them to; 3e-3 is what
// graded meshes of some 2000 elements a pole were measured to reach.
TEST_P(Identities, VirtualWorkMeetsTheAnnulus) {
  std::vector<double> stator, rotor;
  for (double density : {0.4, 1.2}) {
    const auto refined = make_machine(case_text(GetParam()), density);
    const StaticField& f = *refined->field;
    const StaticSolution s = refined->field->solve(load_excitation(refined->section, 0.05));
    stator.push_back(std::abs(f.torque_virtual_work(s, Side::stator) / f.torque(s) - 1));
    rotor.push_back(std::abs(f.torque_virtual_work(s, Side::rotor) / f.torque(s) - 1));
  }
  record_errors("stator", stator);
  record_errors("rotor", rotor);
  for (const auto& [side, e] : {std::pair{"stator", stator}, std::pair{"rotor", rotor}}) {
    record_at_most(fmt::format("{}, {}: torque by nodal virtual work against the annulus", GetParam(), side), e.back(),
                   3e-3, "1", "two discretisations of one torque", kRate);
    EXPECT_LT(e.back(), 0.4 * e.front());
  }
}

INSTANTIATE_TEST_SUITE_P(Machines, Identities, ::testing::Values("salient", "cage", "outer"),
                         [](const auto& machine) { return std::string(machine.param); });

}  // namespace
}  // namespace polepitch::test
