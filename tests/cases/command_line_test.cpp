#include "cases/command_line.h"

#include <gtest/gtest.h>

#include "cases/listing.h"
#include "cases/progress.h"
#include "geometry/error.h"

namespace polepitch {
namespace {

CommandLine parse(std::vector<const char*> words) {
  words.insert(words.begin(), "polepitch");
  return parse_command_line(static_cast<int>(words.size()), words.data());
}

std::string refusal(const std::vector<const char*>& words) {
  try {
    parse(words);
  } catch (const UsageError& error) {
    return error.what();
  }
  return "";
}

TEST(CommandLine, RunWithEverything) {
  const CommandLine line = parse({"run", "m.toml", "-o", "out", "--jobs", "3", "--json", "--quiet"});
  EXPECT_EQ(line.command, Command::run);
  EXPECT_EQ(line.case_path, "m.toml");
  EXPECT_EQ(line.output, "out");
  EXPECT_EQ(line.jobs, 3);
  EXPECT_TRUE(line.json);
  EXPECT_TRUE(line.quiet);
}

TEST(CommandLine, Defaults) {
  const CommandLine line = parse({"check", "m.toml"});
  EXPECT_EQ(line.command, Command::check);
  EXPECT_EQ(line.output, "");
  EXPECT_GE(line.jobs, 1);
  EXPECT_FALSE(line.json);
}

TEST(CommandLine, OptionsMayStandBeforeTheCommand) {
  EXPECT_TRUE(parse({"--json", "list", "slots"}).json);
}

TEST(CommandLine, HelpAndVersionAreTexts) {
  const CommandLine help = parse({"--help"});
  EXPECT_EQ(help.command, Command::text);
  EXPECT_NE(help.text.find("Examples:"), std::string::npos);
  EXPECT_NE(help.text.find("Exit codes:"), std::string::npos);
  EXPECT_NE(parse({"run", "--help"}).text.find("--jobs"), std::string::npos);
  EXPECT_EQ(parse({"--version"}).text, std::string("polepitch ") + program_version() + "\n");
}

TEST(CommandLine, Faults) {
  EXPECT_NE(refusal({"rnu", "m.toml"}).find("did you mean \"run\"?"), std::string::npos);
  EXPECT_NE(refusal({"run"}).find("CASE"), std::string::npos);
  EXPECT_NE(refusal({"run", "m.toml", "--jobs", "0"}).find("--jobs"), std::string::npos);
  EXPECT_NE(refusal({"run", "m.toml", "--jobs", "many"}).find("--jobs"), std::string::npos);
  EXPECT_NE(refusal({"run", "m.toml", "--no-such-option"}).find("--no-such-option"), std::string::npos);
  EXPECT_NE(refusal({}), "");
  EXPECT_NE(refusal({"run", "m.toml", "-o", ""}).find("the name is empty"), std::string::npos);
  EXPECT_NE(refusal({"new", "cage-motor", "--output", ""}).find("the name is empty"), std::string::npos);
  EXPECT_NE(refusal({"check", "m.toml", "--output="}), "");
}

// The rule as the header states it.
TEST(CommandLine, ResultsNeverTakeTheNameOfTheCaseFile) {
  EXPECT_EQ(default_directory("motor.toml"), "motor");
  EXPECT_EQ(default_directory("cases/motor.toml"), "motor");
  EXPECT_EQ(default_directory("motor.v2.toml"), "motor.v2");
  EXPECT_EQ(default_directory("motor"), "motor-results");
  EXPECT_EQ(default_directory("cases.d/motor"), "motor-results");
}

TEST(Listing, EveryTopicHasEntriesWithSentences) {
  for (const std::string& topic : list_topics())
    for (const ListEntry& entry : list_entries(topic)) {
      EXPECT_FALSE(entry.name.empty()) << topic;
      EXPECT_FALSE(entry.sentence.empty()) << topic << " " << entry.name;
    }
  EXPECT_FALSE(list_entries("rotors").empty());
  EXPECT_THROW(list_entries("rotor"), UsageError);
}

TEST(Progress, LineOfTheBar) {
  EXPECT_EQ(progress_line("x", 0, 0), "[------------------------------]   0 %  x");
  EXPECT_EQ(progress_line("x", 0.5, 10), "[###############---------------]  50 %  x, 10 s left");
  EXPECT_EQ(progress_line("x", 2, 10).substr(0, 32), "[##############################]");
}

}  // namespace
}  // namespace polepitch
