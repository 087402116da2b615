// The study slip: what is refused, and slips that stand for speeds.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "cases/cage_slip.h"
#include "cases/slip_points.h"
#include "tests/cases/cage_case_helper.h"
#include "tests/cases/steady_helper.h"

namespace polepitch {
namespace {

std::string solid_rotor() {
  std::string text = read_text_file(SOURCE_DIR "/cases/machines/solid-rotor-machine.toml");
  text.resize(text.find("[[study]]"));
  return text;
}

std::string refusal(const std::string& text) {
  try {
    SteadyCase machine(text, 0.3);
    run_study(machine, 0);
  } catch (const InputError& error) {
    return error.diagnostics().front().message;
  }
  return "";
}

TEST(SlipStudy, WhatDoesNotFitIsTold) {
  EXPECT_NE(refusal(small_salient_machine(false) + study_text("slip", "")).find("follows a B-H curve"),
            std::string::npos);
  EXPECT_NE(
      refusal(replaced(small_salient_machine(true), "shaft_material = \"linear-steel\"", "shaft_material = \"air\"") +
              study_text("slip", ""))
          .find("no solid part"),
      std::string::npos);
  EXPECT_NE(refusal(cage_motor() + study_text("slip", "phase_current = \"1 A\"\n")).find("does not fit a cage"),
            std::string::npos);
  EXPECT_NE(refusal(replaced(cage_motor(), "ring_width = \"16 mm\"\n", "") + study_text("slip", ""))
                .find("rotor.ring_width is missing beside"),
            std::string::npos);
  EXPECT_NE(refusal(solid_rotor() + study_text("slip", "slips = [0.1]\nspeeds = [\"10 rpm\"]\n")).find("both speeds"),
            std::string::npos);
}

/// At synchronous speed the fundamental induces nothing, and without harmonics there is no torque; a slip of s is the
/// speed (1 − s) f 60/p (formula).
TEST(SlipStudy, SlipsAreSpeedsAndSynchronismPullsNothing) {
  SteadyCase machine(solid_rotor() + study_text("slip",
                                                "phase_current = \"2045.2 A\"\nslips = [0, 0.5]\n"
                                                "gap_coupling = \"fundamental\"\n"),
                     0.4);
  const StudyResult r = run_study(machine, 0);
  const std::vector<Column>& columns = r.results.curves.at(0).columns;
  ASSERT_EQ(columns[0].values.size(), 2u);
  EXPECT_NEAR(columns[0].values[0], 1800, 1e-9);
  EXPECT_NEAR(columns[0].values[1], 3600, 1e-9);
  EXPECT_GT(columns[1].values[0], 1);
  EXPECT_NEAR(columns[1].values[1], 0, 1e-9);
}

/// The hidden angle: in iron of constant permeability the rotor's ωL/R is in proportion to slip (formula: L and R are
/// constant while there is no skin effect). 1e-2: the mesh is not a mirror of itself about a bar and turns the
/// wave by a hundredth of a degree (angles here are some degrees), and skin effect at 3 Hz takes a quarter of a
/// percent.
TEST(SlipStudy, RotorReactanceOverResistanceGrowsWithSlip) {
  std::string text = replaced(cage_motor(), "\"M400-50A\"", "\"linear-steel\"");
  text = replaced(text, "\"shaft-steel\"", "\"linear-steel\"");
  SteadyCase machine(text + study_text("slip", "slips = [0.06, 0.03]\n"), 0.5);
  const StudyResult r = run_study(machine, 0);
  const std::vector<double>& ratio = r.results.curves.at(1).columns[5].values;
  EXPECT_NEAR(ratio.at(1) / ratio.at(0), 2, 1e-2);
}

/// The MMFs lie more than 90° apart, further with slip, as the rotor's ωL/R grows; torque has a maximum between, found
/// by search over every point of the curve.
TEST(SlipStudy, CageTorqueHasItsMaximumWhereTheRotorTurnsAway) {
  SteadyCase machine(cage_motor() + study_text("slip", "slips = [1, 0.5, 0.25, 0.12, 0.06, 0.02, 0.01]\n"), 0.2);
  const StudyResult r = run_study(machine, 0);
  const std::vector<Column>&curve = r.results.curves.at(0).columns, &vectors = r.results.curves.at(1).columns;
  ASSERT_EQ(curve[0].values.size(), 7u);
  EXPECT_EQ(curve[0].values.front(), 0.01);  // slip rising
  const std::vector<double>&torque = curve[1].values, &ratio = vectors[5].values, &angle = vectors[3].values;
  for (size_t k = 0; k < ratio.size(); ++k) {
    EXPECT_GT(angle[k], 90);
    EXPECT_LT(angle[k], 180);
    if (k > 0) {
      EXPECT_GT(ratio[k], ratio[k - 1]);
    }
  }
  double most = 0;
  for (const Quantity& q : r.results.quantities) {
    if (q.name == "torque_mean" && q.at.back().second == "largest torque") most = q.value;
    if (q.name == "gap_power_balance") {
      EXPECT_NEAR(q.value, 0, 1e-4);
    }
  }
  for (double t : torque) EXPECT_LE(t, most * (1 + 1e-6));
  EXPECT_GT(value(r, "breakdown_torque_ratio"), 2);
  EXPECT_GT(value(r, "locked_rotor_current_ratio"), 4);
  EXPECT_EQ(r.frames.size(), 7u);
}

/// A double-cage circuit comes within 5 % of breakdown torque at slips that its fit did not use (the project's own
/// bound), and two cages are no worse than one. Its no-load current is that of X_σ + X_M (formula).
TEST(SlipStudy, FittedCircuitsFollowTheField) {
  SteadyCase machine(
      cage_motor() + study_text("slip", "slips = [1, 0.7, 0.5, 0.35, 0.25, 0.18, 0.13, 0.1, 0.06, 0.04, 0.02, 0.01]\n"),
      0.2);
  const StudyResult r = run_study(machine, 0);
  std::vector<double> off;
  double leakage = 0, magnetising = 0;
  for (const Quantity& q : r.results.quantities) {
    if (q.name == "circuit_torque_deviation") off.push_back(q.value);
    if (q.name == "circuit_X_sigma") leakage = q.value;
    if (q.name == "circuit_X_M") magnetising = q.value;
  }
  ASSERT_EQ(off.size(), 2u);
  EXPECT_LT(off[1], 0.05);
  EXPECT_LE(off[1], off[0]);
  const auto& curves = r.results.curves;
  const auto found =
      std::find_if(curves.begin(), curves.end(), [](const ResultCurve& c) { return c.name == "circuit"; });
  ASSERT_TRUE(found != curves.end());
  const ResultCurve& curve = *found;
  ASSERT_EQ(curve.columns.size(), 7u);
  const double no_load = 400 / std::sqrt(3.0) / (leakage + magnetising);
  EXPECT_LT(no_load, curve.columns[2].values.front());  // at slip 0.01 there is load current beside it
  EXPECT_GT(no_load, 0.5 * curve.columns[2].values.front());
}

/// One slip for every harmonic: torque depends on the position, its mean is near that of the fundamental alone, and the
/// rest of the power balance is printed. Band: what prototypes of the method and the gap's harmonics differ by, a
/// tenth.
TEST(SlipStudy, AllHarmonicsAreMeansOverPositions) {
  SteadyCase machine(cage_motor() + study_text("slip", "slips = [0.04, 0.02]\n") +
                         study_text("slip", "slips = [0.04, 0.02]\ngap_coupling = \"all-harmonics\"\npositions = 3\n"),
                     0.2);
  const StudyResult fundamental = run_study(machine, 0), all = run_study(machine, 1);
  double spread = 0, rest = 1;
  for (const Quantity& q : all.results.quantities) {
    if (q.name == "torque_spread" && q.at.back().second == "largest torque") spread = q.value;
    if (q.name == "gap_power_balance" && q.at.back().second == "largest torque") rest = q.value;
  }
  EXPECT_NEAR(value(all, "torque_mean") / value(fundamental, "torque_mean"), 1, 0.1);
  EXPECT_GT(spread, 1e-3);
  EXPECT_LT(spread, 0.2 * value(all, "torque_mean"));
  EXPECT_LT(std::abs(rest), 0.05);
}

/// Vectors over the positions of a slot pitch: in the stator's frame the rotor's MMF hardly depends on where its bars
/// stand, though they turn by pφ (here 2 · 360°/28/3 = 8.6° a step); the mean is that of the positions one by one (code
/// test).
TEST(SlipStudy, VectorsAreMeansOverPositionsInTheStatorsFrame) {
  SteadyCase machine(cage_motor() + study_text("slip", "slips = [0.04]\n"), 0.2);
  const Block& study = machine.kase.studies.at(0);
  const CageSupply supply = read_cage_slip(machine.kase, machine.section, study).supply;
  CageOptions options;
  options.coupling = GapCoupling::all_harmonics;
  SlipRunner together(machine.context, supply.ends, options, 3), single(machine.context, supply.ends, options, 1);
  CageExcitation excitation = excitation_of(supply, 0.04);
  const SlipPoint mean = together.at({excitation}).at(0);
  const int bars = machine.section.sectors *
                   static_cast<int>(std::count_if(machine.section.branches.begin(), machine.section.branches.end(),
                                                  [](const Branch& b) { return b.kind == BranchKind::bar; }));
  std::complex<double> f_r = 0, main = 0;
  std::vector<double> angles, main_angles;
  for (int k = 0; k < 3; ++k) {
    excitation.rotor_angle = 2 * pi * k / (3 * bars);
    const SlipPoint one = single.at({excitation}).at(0);
    f_r += one.f_r / 3.0;
    main += one.main_linkage / 3.0;
    angles.push_back(std::arg(one.f_r) * 180 / pi);
    main_angles.push_back(std::arg(one.main_linkage) * 180 / pi);
  }
  // To Newton's rest: positions start from different fields.
  EXPECT_LT(std::abs(mean.f_r - f_r), 1e-4 * std::abs(f_r));
  EXPECT_LT(std::abs(mean.main_linkage - main), 1e-4 * std::abs(main));
  for (const std::vector<double>* seen : {&angles, &main_angles}) {
    const auto [low, high] = std::minmax_element(seen->begin(), seen->end());
    EXPECT_LT(*high - *low, 2);
  }
}

/// A solid rotor under a saturated stator, fed by voltage: no torque at synchronous speed, and what the slip leaves of
/// the gap's power is the loss of the rings (a code test, to the loci's sixteen instants).
TEST(SlipStudy, SolidRotorInASaturatedStator) {
  const std::string text =
      replaced(solid_rotor(), "stator_material = \"linear-steel\"", "stator_material = \"M400-50A\"");
  SteadyCase machine(text + study_text("slip", "slips = [1, 0.5, 0.2]\n"), 0.4);
  const StudyResult r = run_study(machine, 0);
  EXPECT_GT(value(r, "torque_mean"), 0);
  for (const Quantity& q : r.results.quantities)
    if (q.name == "gap_power_balance") {
      EXPECT_NEAR(q.value, 0, 1e-4);
    }
  EXPECT_GT(value(r, "rotor_loss"), 0);
}

/// Slip rings where there are none, and a winding without conductors.
TEST(SlipStudy, WhatDoesNotFitARotorIsTold) {
  EXPECT_NE(refusal(cage_motor() + study_text("slip", "external_resistance = \"1 ohm\"\n")).find("no slip rings"),
            std::string::npos);
  EXPECT_NE(refusal(cage_motor() + study_text("slip", "gap_coupling = \"own-frequency\"\n")).find("with slots"),
            std::string::npos);
  std::string text = cage_motor();
  text.resize(text.find("[rotor]"));
  text +=
      "[rotor]\ntype = \"wound\"\nair_gap = \"0.8 mm\"\nslots = 24\nshaft_diameter = \"55 mm\"\n"
      "[rotor.slot]\nshape = \"round\"\nopening_width = \"2 mm\"\nopening_height = \"1 mm\"\ndiameter = \"9 mm\"\n"
      "[rotor.winding]\nlayers = 1\nturns_per_coil = 4\n";
  EXPECT_NE(refusal(text + study_text("slip", "")).find("does not state its conductors"), std::string::npos);
}

}  // namespace
}  // namespace polepitch
