// What a case says about its mesh, and what a run makes of it.
#include "cases/adaption.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "cases/run_case.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

/// The slotless ring-magnet machine with its no-load study alone and this line about the mesh.
std::string slotless_case(const std::string& mesh) {
  std::string text = read_text_file(std::string(SOURCE_DIR) + "/cases/machines/ring-magnet-machine.toml");
  text = text.substr(0, text.find("[[study]]                # current held"));
  const auto at = text.find("mesh.accuracy");
  return text.replace(at, text.find('\n', at) - at, mesh) + "\n[output]\npictures = false\nfield_angles = 1\n";
}

RunReport run_text(const std::string& text) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", text);
  Progress progress(false);
  return run_case({.case_path = directory / "machine.toml", .directory = directory / "out"}, progress);
}

const Quantity& named(const RunReport& report, const std::string& name) {
  const auto& all = report.results.quantities;
  return *std::find_if(all.begin(), all.end(), [&](const Quantity& q) { return q.name == name; });
}

bool warns(const RunReport& report, const std::string& words) {
  return std::any_of(report.results.warnings.begin(), report.results.warnings.end(),
                     [&](const std::string& w) { return w.find(words) != std::string::npos; });
}

// No slot and no current: no torque at all. 0.75 kVA at 12000 rpm are 0.6 N m.
TEST(Adaption, ACurrentlessSlotlessMachineHasNoTorque) {
  const RunReport report = run_text(slotless_case(""));
  const double rated = 750 / (2 * 3.141592653589793 * 200);
  const Quantity& torque = named(report, "torque_mean");
  ASSERT_EQ(torque.samples.size(), 6u);
  for (double t : torque.samples) EXPECT_LT(std::abs(t), 1e-5 * rated);
  EXPECT_FALSE(warns(report, "most_elements"));
  EXPECT_LE(named(report, "torque_error").value, 5e-4);
  EXPECT_LE(named(report, "linkage_error").value, 5e-4);
}

TEST(Adaption, TheMostElementsAreSaidWhenTheyStopIt) {
  const RunReport report = run_text(slotless_case("mesh = { accuracy = 1e-5, most_elements = 500 }"));
  EXPECT_TRUE(warns(report, "mesh.most_elements"));
  EXPECT_TRUE(report.failed.empty());
  EXPECT_GT(named(report, "B_r1").error.value_or(0), 0);
}

TEST(Adaption, AFixedMeshIsTheOneOfTheCaseAndHasErrorsToo) {
  const std::string text = slotless_case("mesh = { adaptive = false, density = 0.8 }");
  const RunReport report = run_text(text);
  const Case kase = read_case_text(text);
  const Section section = draw_section(kase.machine);
  EXPECT_EQ(named(report, "triangles_per_pole").value,
            first_mesh(kase, section).triangles_per_pole(section.pole_pairs));
  EXPECT_GT(named(report, "B_r1").error.value_or(0), 0);
  EXPECT_FALSE(warns(report, "most_elements"));
}

}  // namespace
}  // namespace polepitch
