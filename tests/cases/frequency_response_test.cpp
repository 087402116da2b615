// The study frequency-response: what is refused, its limits at direct current and at the top, the structures it
// chooses.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "cases/adaption.h"
#include "cases/study_list.h"
#include "tests/cases/case_text_helper.h"
#include "tests/cases/steady_helper.h"
#include "tests/verification_helper.h"

namespace polepitch {
namespace {

const std::string kBars =
    "damper_bars = 5\ndamper_diameter = \"6 mm\"\ndamper_pitch = \"15 mm\"\ndamper_depth = \"1.5 mm\"\n"
    "damper_opening = \"1.5 mm\"\n";
const std::string kRings = "damper_ring_height = \"8 mm\"\ndamper_ring_width = \"6 mm\"\n";

std::string damped_machine(const std::string& rings) {
  return small_salient_machine(false) + kBars + rings;
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

const ResultCurve& curve(const StudyResult& result, const std::string& name) {
  for (const ResultCurve& c : result.results.curves)
    if (c.name == name) return c;
  throw std::invalid_argument("no curve " + name);
}

TEST(FrequencyResponse, WhatDoesNotFitIsTold) {
  const std::string machine = small_salient_machine(false);
  const auto told = [&](const std::string& text, const std::string& what) {
    EXPECT_NE(refusal(text).find(what), std::string::npos) << refusal(text);
  };
  told(machine + study_text("frequency-response", "field_resistance = \"0 ohm\"\n"),
       "a time constant needs a resistance");
  told(machine + study_text("frequency-response", "highest_frequency = \"0.005 Hz\"\n"), "under ten times the lowest");
  told(machine + study_text("frequency-response", "solid_core = true\n"), "states no conductivity");
  told(machine + kBars + "damper_ring_height = \"8 mm\"\n" + study_text("frequency-response", ""),
       "rotor.damper_ring_width is missing beside");
  told(machine + kBars + "damper_material = \"air\"\n" + study_text("frequency-response", ""),
       "conductivity is not stated");
  std::string cage = read_text_file(SOURCE_DIR "/cases/machines/cage-motor.toml");
  cage.resize(cage.find("[[study]]"));
  told(cage + study_text("frequency-response", ""), "this rotor is a cage");
}

/// Field winding alone, no conducting shaft: structure 1.0, its time constant L_ff/R_f to what the fit leaves (formula:
/// eq. 35b with the section's own X_ad, X_fd).
TEST(FrequencyResponse, WithoutDampersTheFieldWindingIsTheOnlyCircuit) {
  SteadyCase machine(small_salient_machine(true) + study_text("frequency-response", "positions = 1\n") +
                         study_text("reactances", "phase_current = \"1 A\"\npositions = 1\n"),
                     0.3);
  const StudyResult r = run_study(machine, 0), still = run_study(machine, 1);
  EXPECT_EQ(value(r, "rotor_circuits_d"), 1);
  EXPECT_EQ(value(r, "rotor_circuits_q"), 0);
  EXPECT_LT(value(r, "fit_deviation_d"), 1e-4);
  test::record_check("frequency-response, field winding alone: X'_d over that of eq. 35a",
                     value(r, "X_d_transient") / value(still, "X_d_transient"), 1, 1e-4, "1",
                     "X_l + X_ad X_fd/(X_ad + X_fd) (formula)", test::kClosedForm);
  const double omega = 2 * pi * 50, x = value(still, "X_ad") + value(still, "X_fd");
  test::record_check("frequency-response, field winding alone: T'_do over that of eq. 35b",
                     value(r, "T_do_transient") / (x / (omega * value(r, "R_fd"))), 1, 1e-4, "1",
                     "(X_ad + X_fd)/(omega R_fd) (formula)", test::kClosedForm);
}

/// About a load the response begins at the Newton tangent of that load, as the study reactances has it (code test), and
/// ends at the circuit's subtransient inductance but for skin effect, a few per cent at 1 kHz.
TEST(FrequencyResponse, BeginsAtTheIncrementalAndEndsAtTheSubtransientInductance) {
  const std::string load =
      "phase_current = \"20 A\"\ncurrent_angle = \"-140 deg\"\nfield_current = \"20 A\"\npositions = 2\n";
  SteadyCase machine(damped_machine(kRings) + study_text("frequency-response", "state = \"both\"\n" + load) +
                         study_text("reactances", load),
                     0.3);
  const StudyResult r = run_study(machine, 0), still = run_study(machine, 1);
  double loaded = 0;
  for (const Quantity& q : r.results.quantities)
    if (q.name == "X_d_incremental" && q.at.front().second == "load") loaded = q.value;
  EXPECT_NEAR(loaded, value(still, "X_d_incremental"), 1e-5 * loaded);
  EXPECT_GT(std::abs(loaded - value(r, "X_d_incremental")), 0.02 * loaded);  // initial permeability is another state
  for (const char* state : {"initial", "load"})
    for (const char* axis : {"d", "q"}) {
      const ResultCurve& c = curve(r, std::string(axis) + "_" + state);
      const std::vector<double>&field = c.columns[1].values, &fitted = c.columns[2].values;
      EXPECT_NEAR(fitted.back() / field.back(), 1, 0.05) << state << axis;
      EXPECT_TRUE(std::is_sorted(field.rbegin(), field.rend())) << state << axis;  // a passive machine's |L| falls
    }
  EXPECT_LT(value(r, "X_d_subtransient"), value(r, "X_d_transient"));
  EXPECT_LT(value(r, "X_d_transient"), value(r, "X_d_incremental"));
  EXPECT_LT(value(r, "T_d_transient"), value(r, "T_do_transient"));
  EXPECT_EQ(value(r, "rotor_circuits_d"), 2);
  EXPECT_GE(value(r, "rotor_circuits_q"), 1);
}

/// Rings with resistance slow the damper's currents less than rings without it (T''_do falls); bars joined pole by pole
/// leave the q-axis a larger subtransient reactance, since their currents cannot pass from pole to pole.
TEST(FrequencyResponse, RingsMatter) {
  const auto run = [](const std::string& rings) {
    SteadyCase machine(damped_machine(rings) + study_text("frequency-response", "positions = 1\n"), 0.3);
    return run_study(machine, 0);
  };
  const StudyResult ideal = run(""), real = run(kRings), by_pole = run(kRings + "damper_ring = \"pole-by-pole\"\n");
  EXPECT_LT(value(real, "T_do_subtransient"), value(ideal, "T_do_subtransient"));
  EXPECT_GT(value(by_pole, "X_q_subtransient"), 1.1 * value(real, "X_q_subtransient"));
}

/// Solid poles of a few hundred times the permeability of air have a skin of some tenths of a millimetre at 1 kHz: a
/// coarse mesh is told of.
TEST(FrequencyResponse, ACoarseSkinIsTold) {
  std::string text = replaced(small_salient_machine(false), "\"demo-steel\"", "\"shaft-steel\"");
  SteadyCase machine(text + study_text("frequency-response", "positions = 1\nsolid_core = true\n"), 0.3);
  const StudyResult r = run_study(machine, 0);
  const auto& warnings = r.results.warnings;
  EXPECT_TRUE(std::any_of(warnings.begin(), warnings.end(),
                          [](const std::string& w) { return w.find("skin depth at 1000 Hz") != std::string::npos; }));
}

double triangles_in_the_poles_skin(const StudyResult& r) {
  for (const Quantity& q : r.results.quantities)
    for (const auto& [key, part] : q.at)
      if (q.name == "elements_per_skin_depth" && part == "poles and rotor yoke") return q.value;
  return 0;
}

/// The mesh is adapted to that skin, short where the loss is, with a number of triangles that is affordable: of the
/// built-in sizes an edge is ten skin depths and more; adapted for 1 % of L, under four, most of the loss lying deeper
/// than the first row.
TEST(FrequencyResponse, TheMeshIsAdaptedToTheSkin) {
  SteadyCase coarse(replaced(small_salient_machine(false), "\"demo-steel\"", "\"shaft-steel\"") +
                        "\n[mesh]\naccuracy = 0.002\n" +
                        study_text("frequency-response", "positions = 1\nsolid_core = true\n"),
                    0.3);
  const double before = triangles_in_the_poles_skin(run_study(coarse, 0));
  Results results;
  const CaseMeshes meshes = adapted_meshes(coarse.kase, coarse.section, results);
  FieldPool fields(coarse.section, meshes.mesh, coarse.kase.materials, {}, 1);
  StudyContext context{coarse.kase, coarse.section, meshes.mesh, fields, "test", [](double) {}};
  const Block& study = coarse.kase.studies.front();
  double after = 0;
  for (const StudyType& type : study_types())
    if (type.name == study.type) after = triangles_in_the_poles_skin(type.run(context, study));
  EXPECT_LT(before, 0.1);
  EXPECT_GT(after, 0.25);
  EXPECT_LT(meshes.mesh.triangles_per_pole(coarse.section.pole_pairs), 20000);
  EXPECT_TRUE(results.warnings.empty());  // nothing stopped by the most elements
}

}  // namespace
}  // namespace polepitch
