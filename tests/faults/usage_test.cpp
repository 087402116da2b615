// Exit codes and standard output of the command line itself.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "cases/material_library.h"
#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

using nlohmann::json;

TEST(Usage, FaultsOfTheCommandLine) {
  for (const std::vector<std::string>& arguments : {std::vector<std::string>{},
                                                    {"rnu", "m.toml"},
                                                    {"run"},
                                                    {"run", "m.toml", "--jobs", "0"},
                                                    {"list", "rotor"},
                                                    {"new", "no-such-machine"},
                                                    {"docs", "nothing"},
                                                    {"check", "m.toml", "-o", ""},
                                                    {"check", "m.toml", "--nothing"},
                                                    {"run", "m.toml", "--dxf", "m.dxf"}}) {
    const Outcome outcome = run_program(arguments);
    EXPECT_EQ(outcome.exit_code, 2) << outcome.err;
    EXPECT_NE(outcome.err.find("error: "), std::string::npos);
    EXPECT_EQ(outcome.out, "");
  }
}

TEST(Usage, HelpAndVersionAreNoFaults) {
  EXPECT_EQ(run_program({"--help"}).exit_code, 0);
  EXPECT_EQ(run_program({"run", "--help"}).exit_code, 0);
  EXPECT_EQ(run_program({"--version"}).out.substr(0, 10), "polepitch ");
}

TEST(Usage, ListsAreJsonArrays) {
  for (const char* topic : {"rotors", "stators", "slots", "materials", "studies", "quantities", "machines"}) {
    const Outcome outcome = run_program({"list", topic, "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json list = json::parse(outcome.out);
    ASSERT_TRUE(list.is_array());
    EXPECT_FALSE(list.empty()) << topic;
    for (const json& entry : list) EXPECT_TRUE(entry.at("name").is_string() && entry.at("sentence").is_string());
  }
}

TEST(Usage, ErrorsAreJsonToo) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", replaced(small_case(), "length = \"165 mm\"", "length = 165"));
  const Outcome outcome = run_program({"check", directory / "machine.toml", "--json"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_NE(outcome.err.find("has no unit"), std::string::npos);
  const json error = json::parse(outcome.out).at("error");
  EXPECT_EQ(error.at("code"), 3);
  const json& diagnostic = error.at("diagnostics").at(0);
  EXPECT_EQ(diagnostic.at("line"), line_of(small_case(), "length ="));
  EXPECT_EQ(diagnostic.at("column"), 10);
  EXPECT_EQ(diagnostic.at("hint"), "write \"165 mm\"");
}

TEST(Usage, CheckPrintsTheSummaryAsJson) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "out", "--json"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json summary = json::parse(outcome.out);
  EXPECT_EQ(summary.at("case"), "machine");
  EXPECT_FALSE(summary.at("quantities").empty());
  EXPECT_EQ(outcome.out, read_text_file(directory / "out/summary.json"));
}

TEST(Usage, QuietSaysNothing) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  ProcessOptions options;
  options.directory = directory.path();
  const Outcome outcome = run_program({"check", "machine.toml", "--quiet"}, options);
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.out + outcome.err, "");
  EXPECT_TRUE(std::filesystem::exists(directory / "machine/summary.json"));  // DIR is the case's name, here
}

TEST(Usage, CaseFileWithoutExtensionKeepsItsName) {
  const FreshDirectory directory;
  write_text(directory / "machine", small_case());
  ProcessOptions options;
  options.directory = directory.path();
  const Outcome outcome = run_program({"check", "machine"}, options);
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_TRUE(std::filesystem::exists(directory / "machine-results/summary.json"));
  EXPECT_EQ(read_text_file(directory / "machine"), small_case());
}

TEST(Usage, MaterialReferenceNamesEveryKey) {
  const Outcome outcome = run_program({"docs", "material-file"});
  EXPECT_EQ(outcome.exit_code, 0);
  for (const std::vector<Parameter>& table : {material_parameters(), iron_loss_parameters()})
    for (const Parameter& p : table) EXPECT_NE(outcome.out.find("| `" + p.name + "` |"), std::string::npos) << p.name;
}

// The example of the reference, cut out of it, is a material that a case takes.
TEST(Usage, MaterialExampleOfTheReferenceRuns) {
  const std::string text = run_program({"docs", "material-file"}).out;
  const auto example = [&](const std::string& first) {
    std::string lines;
    for (auto at = text.find("    " + first); text.compare(at, 4, "    ") == 0; at = text.find('\n', at) + 1)
      lines += text.substr(at + 4, text.find('\n', at) - at - 3);
    return lines;
  };
  const FreshDirectory directory;
  write_text(directory / "my-steel.toml", example("kind = "));
  write_text(directory / "my-steel.csv", example("# invented"));
  write_text(directory / "machine.toml",
             "material_files = [\"my-steel.toml\"]\n" + replaced(small_case(), "demo-steel", "my-steel"));
  const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "out"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
}

TEST(Usage, ReferenceIsMarkdownOfEveryTable) {
  const Outcome outcome = run_program({"docs", "case-file"});
  EXPECT_EQ(outcome.exit_code, 0);
  for (const char* words : {"# The case file", "`[rating]`", "`[winding]`", "`[[study]]`", "| `turns_per_coil` |"})
    EXPECT_NE(outcome.out.find(words), std::string::npos) << words;
}

}  // namespace
}  // namespace polepitch
