#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "cases/case.h"
#include "tests/cases/case_text_helper.h"

namespace polepitch {
namespace {

std::vector<Diagnostic> faults_of(const std::string& text, const std::map<std::string, std::string>& beside = {}) {
  try {
    read_case_text(text, beside);
  } catch (const InputError& error) {
    return error.diagnostics();
  }
  return {};
}

TEST(ReadCase, ValuesAreSiAndKnowTheirPlace) {
  const Case kase = read_case_text(small_case());
  const Machine& machine = kase.machine;
  EXPECT_EQ(kase.title, "Small invented generator");
  EXPECT_EQ(machine.pole_pairs(), 2);
  EXPECT_NEAR(machine.length(), 0.165, 1e-15);
  EXPECT_EQ(machine.stator.type, "slotted");
  EXPECT_EQ(machine.stator_slot.type, "trapezoidal");
  EXPECT_EQ(machine.rotor.type, "salient-pole");
  EXPECT_FALSE(machine.rotor_slot.present);
  EXPECT_EQ(machine.general.values.place("length").line, line_of(small_case(), "length ="));
  EXPECT_TRUE(machine.general.values.given("length"));
}

// The defaults as the declarations state them.
TEST(ReadCase, DefaultsAreTakenAndSaidToBeDefaults) {
  const Case kase = read_case_text(small_case());
  const Values& general = kase.machine.general.values;
  EXPECT_NEAR(general.number("temperature"), 348.15, 1e-10);
  EXPECT_FALSE(general.given("temperature"));
  EXPECT_EQ(general.text("outer_boundary"), "zero");
  EXPECT_EQ(general.text("rotor_material"), general.text("stator_material"));
  EXPECT_EQ(kase.machine.mesh.values.number("density"), 0.6);
  EXPECT_FALSE(kase.machine.mesh.present);
  EXPECT_EQ(kase.output.values.integer("field_angles"), 12);
  EXPECT_FALSE(kase.machine.limits.values.has("stator_tooth"));
}

TEST(ReadCase, EveryUnitOfTheKindWillDo) {
  const Case kase = read_case_text(replaced(small_case(), "length = \"165 mm\"", "length = \"16.5 cm\""));
  EXPECT_NEAR(kase.machine.length(), 0.165, 1e-15);
}

TEST(ReadCase, AllFaultsOfAFileAtOnceInItsOrder) {
  std::string text = replaced(small_case(), "length = \"165 mm\"", "length = 165");
  text = replaced(text, "pole_pairs = 2", "pole_pairs = 0");
  text = replaced(text, "slots = 36", "slotz = 36");
  text = replaced(text, "turns_per_coil = 8", "turns_per_coil = \"8\"");
  const std::vector<Diagnostic> faults = faults_of(text);
  ASSERT_EQ(faults.size(), 5U);  // the misspelt key is unknown, and slots is missing
  for (std::size_t i = 1; i < faults.size(); ++i) EXPECT_LE(faults[i - 1].place.line, faults[i].place.line);
  EXPECT_EQ(faults[0].message, "machine.pole_pairs = 0 is below the smallest allowed value, 1");
  EXPECT_EQ(faults[0].hint, "allowed: 1 to 100");
  EXPECT_EQ(faults[1].message, "machine.length = 165 has no unit, a length is needed");
  EXPECT_EQ(faults[1].hint, "write \"165 mm\"");
}

TEST(ReadCase, PlaceIsLineAndColumnOfTheValue) {
  const std::string text = replaced(small_case(), "length = \"165 mm\"", "length = \"165 kg\"");
  const std::vector<Diagnostic> faults = faults_of(text);
  ASSERT_EQ(faults.size(), 1U);
  EXPECT_EQ(faults[0].place.line, line_of(text, "length ="));
  EXPECT_EQ(faults[0].place.column, 10);
}

TEST(ReadCase, StudiesKeepTheirOrderAndNumber) {
  const Case kase =
      read_case_text(small_case() + "\n[[study]]\ntype = \"reactances\"\n\n[[study]]\ntype = \"torque-angle\"\n");
  ASSERT_EQ(kase.studies.size(), 2U);
  EXPECT_EQ(kase.studies[0].type, "reactances");
  EXPECT_EQ(kase.studies[0].path, "study 1");
  EXPECT_EQ(kase.studies[1].type, "torque-angle");
}

TEST(ReadCase, OwnMaterialsStandBesideTheLibrary) {
  const std::string steel = "kind = \"steel\"\nsource = \"invented\"\ninvented = true\nmu_r = 800\n";
  const Case kase =
      read_case_text("material_files = [\"my-steel.toml\"]\n" + replaced(small_case(), "demo-steel", "my-steel"),
                     {{"my-steel.toml", steel}});
  ASSERT_EQ(kase.materials.count("my-steel"), 1U);
  EXPECT_EQ(kase.materials.at("my-steel").mu_r, 800);
  EXPECT_EQ(kase.materials.count("copper"), 1U);
}

TEST(ReadCase, AFaultyMaterialFileIsNotAnUnknownMaterialAsWell) {
  const std::string text = "material_files = [\"my-steel.toml\"]\n" + replaced(small_case(), "demo-steel", "my-steel");
  std::vector<Diagnostic> faults = faults_of(text, {{"my-steel.toml", "kind = \"steel\"\nsource = \"invented\"\n"}});
  ASSERT_EQ(faults.size(), 1U);
  EXPECT_EQ(faults[0].message, "a steel needs a B-H table or mu_r");
  faults = faults_of(text);  // the file is not there
  ASSERT_EQ(faults.size(), 1U);
  EXPECT_NE(faults[0].message.find("material_files: cannot read"), std::string::npos);
  faults = faults_of(replaced(text, "\"my-steel\"", "\"my-stel\""));  // another name is still unknown
  ASSERT_EQ(faults.size(), 2U);
}

TEST(ReadCase, AFileThatIsNotThere) {
  EXPECT_THROW(read_case("/nonexistent/machine.toml"), FileError);
}

TEST(ReadCase, ADirectory) {
  EXPECT_THROW(read_case("/"), FileError);
}

}  // namespace
}  // namespace polepitch
