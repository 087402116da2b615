// Sweeps as a user runs them: what fails is recorded, what is killed goes on, shards make the whole.
#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

using nlohmann::json;

/// No study: quantities that need no field. 13 mm teeth leave no room for the slots of 36.
std::string swept_case(int count) {
  return small_case() +
         "\n[sweep]\nquantities = [\"mass_stator_core\"]\n[[sweep.parameter]]\npath = "
         "\"stator.slot.tooth_width\"\nfrom = \"6 mm\"\nto = \"7 mm\"\ncount = " +
         std::to_string(count) +
         "\n[[sweep.parameter]]\npath = \"machine.length\"\nvalues = [\"100 mm\", \"200 mm\"]\n";
}

/// Number → parameters, code, reason and quantities: everything but times.
json points_of(const Outcome& outcome) {
  json points = json::parse(outcome.out).at("points");
  for (json& point : points) point.erase("seconds");
  return points;
}

class Sweep : public ::testing::Test {
 protected:
  Outcome run(const std::string& out, std::vector<std::string> more = {}, ProcessOptions options = {}) {
    std::vector<std::string> words{"sweep", directory / "machine.toml", "-o", directory / out, "--json"};
    words.insert(words.end(), more.begin(), more.end());
    return run_program(words, options);
  }
  FreshDirectory directory;
};

TEST_F(Sweep, MassIsProportionalToLengthAndPicturesAreDrawn) {
  write_text(directory / "machine.toml", swept_case(2));
  const Outcome outcome = run("out", {"--csv"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json points = points_of(outcome);
  ASSERT_EQ(points.size(), 4U);
  const auto mass = [&](size_t i) {
    return points[i].at("quantities").at("description.mass_stator_core").at("value").get<double>();
  };
  // formula: volume is area times length; wider teeth hold more iron.
  EXPECT_NEAR(mass(1), 2 * mass(0), 1e-9 * mass(1));
  EXPECT_GT(mass(2), mass(0));
  for (const char* file :
       {"sweep.csv", "sweep_description_mass_stator_core.png", "sweep_description_mass_stator_core_effects.png"})
    EXPECT_TRUE(std::filesystem::exists(directory / (std::string("out/") + file))) << file;
}

TEST_F(Sweep, FailingPointsAreRecordedAndTheOthersGoOn) {
  write_text(directory / "machine.toml", replaced(swept_case(2), "to = \"7 mm\"", "to = \"13 mm\""));
  const Outcome outcome = run("out");
  EXPECT_EQ(outcome.exit_code, 6);
  const json report = json::parse(outcome.out);
  EXPECT_EQ(report.at("failed"), 2);
  EXPECT_EQ(report.at("points")[0].at("exit_code"), 0);
  EXPECT_NE(report.at("points")[2].at("exit_code"), 0);
  EXPECT_NE(report.at("points")[2].at("reason"), "");
  EXPECT_EQ(json::parse(run("out").out).at("solved"), 0) << "nothing is solved twice";
}

TEST_F(Sweep, FaultsOfTheTableAreToldWithTheirPlace) {
  const std::string text = replaced(swept_case(2), "tooth_width\"\nfrom", "tooth_widht\"\nfrom");
  write_text(directory / "machine.toml", text);
  const Outcome outcome = run("out");
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_NE(outcome.err.find(":" + std::to_string(line_of(text, "tooth_widht")) + ":8: error: "), std::string::npos)
      << outcome.err;
  EXPECT_NE(outcome.err.find("did you mean \"tooth_width\"?"), std::string::npos) << outcome.err;
}

TEST_F(Sweep, ShardsMergedAreTheWholeAndGapsAreTold) {
  write_text(directory / "machine.toml", swept_case(3));
  const json whole = points_of(run("whole"));
  ASSERT_EQ(run("parts", {"--shard", "1/2"}).exit_code, 0);
  const std::string first = directory / "parts/sweep-1-of-2.sqlite", second = directory / "parts/sweep-2-of-2.sqlite",
                    store = directory / "parts/sweep.sqlite";
  const Outcome half = run_program({"merge", store, first});
  EXPECT_EQ(half.exit_code, 6);
  EXPECT_NE(half.err.find("3 points of the sweep of machine are missing (numbers 2, 4, 6)"), std::string::npos)
      << half.err;
  ASSERT_EQ(run("parts", {"--shard", "2/2"}).exit_code, 0);
  const Outcome merged = run_program({"merge", store, first, second});
  EXPECT_EQ(merged.exit_code, 0) << merged.err;
  const Outcome all = run("parts");
  EXPECT_EQ(json::parse(all.out).at("solved"), 0);
  EXPECT_EQ(points_of(all), whole);
}

TEST_F(Sweep, FullDiskIsToldAndFinishedPointsAreKept) {
  write_text(directory / "machine.toml", swept_case(6));
  ProcessOptions options;
  options.largest_file = 60000;
  const Outcome outcome = run("out", {}, options);
  EXPECT_EQ(outcome.exit_code, 7) << outcome.err;
  EXPECT_NE(outcome.err.find("the disk may be full"), std::string::npos) << outcome.err;
  EXPECT_EQ(run("out").exit_code, 0);
}

TEST_F(Sweep, FileThatIsNoStore) {
  write_text(directory / "machine.toml", swept_case(2));
  std::filesystem::create_directory(directory / "out");
  write_text(directory / "out/sweep.sqlite", std::string(5000, 'x'));
  const Outcome outcome = run("out");
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_NE(outcome.err.find("no store of a sweep"), std::string::npos) << outcome.err;
}

}  // namespace
}  // namespace polepitch
