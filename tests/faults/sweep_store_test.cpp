// The store of a sweep: killed at any moment, shared by two processes, read-only, of another version.
#include <gtest/gtest.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>
#include <set>
#include <thread>

#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

using nlohmann::json;
namespace fs = std::filesystem;

/// No study: quantities that need no field.
std::string case_with(const std::string& sweep) {
  return small_case() + "\n[sweep]\nquantities = [\"mass_stator_core\"]\n" + sweep;
}

const std::string kTeeth = R"([[sweep.parameter]]
path = "stator.slot.tooth_width"
from = "6 mm"
to = "7 mm"
count = 4
[[sweep.parameter]]
path = "machine.length"
values = ["100 mm", "200 mm"]
)";

/// Parameters, code, reason and quantities of every point: all but times.
json points_of(const Outcome& outcome) {
  json points = json::parse(outcome.out).at("points");
  for (json& point : points) point.erase("seconds");
  return points;
}

class SweepStore : public ::testing::Test {
 protected:
  Outcome run(const std::string& out, const std::vector<std::string>& more = {}, const ProcessOptions& options = {}) {
    std::vector<std::string> words{"sweep", directory / "machine.toml", "-o", directory / out, "--json"};
    words.insert(words.end(), more.begin(), more.end());
    return run_program(words, options);
  }
  FreshDirectory directory;
};

/// POLEPITCH_KILLS says how many kills; docs/robustness.md has the result of 50.
TEST_F(SweepStore, KilledAtRandomMomentsItsRowsAreThoseOfAWholeRun) {
  const char* given = std::getenv("POLEPITCH_KILLS");
  const int kills = given == nullptr ? 8 : std::atoi(given);
  write_text(directory / "machine.toml", case_with(kTeeth));
  const auto begin = std::chrono::steady_clock::now();
  const json whole = points_of(run("whole", {"--jobs", "2"}));
  const std::chrono::duration<double, std::milli> taken = std::chrono::steady_clock::now() - begin;
  std::mt19937 random(7);
  int killed = 0, stores = 0;
  for (int round = 0; killed < kills && round < 4 * kills; ++round) {
    // A store that came to its end is compared and left; the next kill meets a fresh one.
    ProcessOptions options;
    options.signal = SIGKILL;
    options.signal_after_ms = static_cast<int>(taken.count() * static_cast<double>(random() % 1000) / 700);
    const std::string out = "killed" + std::to_string(stores);
    if (const Outcome outcome = run(out, {"--jobs", "2"}, options); outcome.exit_code != 0) {
      EXPECT_EQ(outcome.exit_code, 128 + SIGKILL);
      ++killed;
    } else {
      EXPECT_EQ(points_of(outcome), whole);
      ++stores;
    }
  }
  EXPECT_EQ(killed, kills);
  const Outcome last = run("killed" + std::to_string(stores), {"--jobs", "2"});
  EXPECT_EQ(last.exit_code, 0) << last.err;
  EXPECT_EQ(points_of(last), whole);
  std::printf("%d kills over %d stores\n", killed, stores + 1);
}

/// Fields on meshes that are moved from the file's own machine, which each call adapts again.
TEST_F(SweepStore, KilledWithFieldsItsRowsAreThoseOfAWholeRun) {
  const std::string path = SOURCE_DIR "/cases/machines/slot-opening-sweep.toml";
  const std::string text = read_text_file(path);
  write_text(directory / "machine.toml",
             text.substr(0, text.find("[[study]]")) + "[[study]]\ntype = \"operating-point\"\npositions = 2\n" +
                 "phase_current = \"40 A\"\n[sweep]\n[[sweep.parameter]]\npath = \"rotor.magnet_thickness\"\n" +
                 "from = \"3 mm\"\nto = \"5 mm\"\ncount = 6\n");
  const auto begin = std::chrono::steady_clock::now();
  const json whole = points_of(run("whole"));
  const std::chrono::duration<double, std::milli> taken = std::chrono::steady_clock::now() - begin;
  for (const json& point : whole)
    EXPECT_EQ(point.at("quantities").at("mesh.mesh_moved").at("value"), 1) << point.at("reason");
  for (const double share : {0.2, 0.5, 0.8}) {
    ProcessOptions options;
    options.signal = SIGKILL;
    options.signal_after_ms = static_cast<int>(share * taken.count());
    run("killed", {"--jobs", "2"}, options);
  }
  const Outcome last = run("killed");
  EXPECT_EQ(last.exit_code, 0) << last.err;
  EXPECT_EQ(points_of(last), whole);
}

TEST_F(SweepStore, TwoProcessesShareItAndSolveNoPointTwice) {
  write_text(directory / "machine.toml", case_with(kTeeth));
  Outcome first, second;
  std::thread other([&] { second = run("both", {"--jobs", "1"}); });
  first = run("both", {"--jobs", "1"});
  other.join();
  ASSERT_EQ(first.exit_code, 0) << first.err;
  ASSERT_EQ(second.exit_code, 0) << second.err;
  EXPECT_EQ(json::parse(first.out).at("solved").get<int>() + json::parse(second.out).at("solved").get<int>(), 8);
  EXPECT_EQ(points_of(first), points_of(second));
  EXPECT_EQ(points_of(first), points_of(run("alone")));
}

TEST_F(SweepStore, ThatMayOnlyBeReadIsTold) {
  write_text(directory / "machine.toml", case_with(kTeeth));
  ASSERT_EQ(run("out").exit_code, 0);
  const auto readable = fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read;
  const auto entered = readable | fs::perms::owner_exec | fs::perms::group_exec | fs::perms::others_exec;
  fs::permissions(directory / "out/sweep.sqlite", readable);
  fs::permissions(directory / "out", entered);
  fs::permissions(directory.path(), entered);
  ProcessOptions options;
  options.unprivileged = true;
  const Outcome outcome = run("out", {}, options);
  fs::permissions(directory.path(), entered | fs::perms::owner_write);
  fs::permissions(directory / "out", entered | fs::perms::owner_write);
  EXPECT_EQ(outcome.exit_code, 7) << outcome.err;
  EXPECT_NE(outcome.err.find("cannot write the store"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("choose another directory with -o"), std::string::npos) << outcome.err;
}

TEST_F(SweepStore, OfAnotherVersionIsRefused) {
  write_text(directory / "machine.toml", case_with(kTeeth));
  ASSERT_EQ(run("out").exit_code, 0);
  // As a later version would find it: the version stands in the file as plain text of the same length.
  std::string bytes = read_text_file(directory / "out/sweep.sqlite");
  const std::string name = "program_version";
  const auto at = bytes.find(name + "0.");
  ASSERT_NE(at, std::string::npos);
  bytes[at + name.size() + 2] = '9';
  write_text(directory / "out/sweep.sqlite", bytes);
  const Outcome outcome = run("out");
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_NE(outcome.err.find("was written by polepitch 0.9"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("results of two versions do not belong together"), std::string::npos) << outcome.err;
}

TEST_F(SweepStore, LatinHypercubeHasOnePointAStratumAndFollowsFromItsSeed) {
  const auto sweep = [](int seed) {
    return "method = \"latin-hypercube\"\npoints = 6\nseed = " + std::to_string(seed) +
           "\n[[sweep.parameter]]\npath = \"machine.length\"\nfrom = \"100 mm\"\nto = \"160 mm\"\n";
  };
  const auto lengths = [](const Outcome& outcome) {
    std::vector<double> list;
    const json report = json::parse(outcome.out);
    for (const json& point : report.at("points"))
      list.push_back(std::stod(point.at("parameters").at("machine.length").get<std::string>()));
    return list;
  };
  write_text(directory / "machine.toml", case_with(sweep(3)));
  const std::vector<double> first = lengths(run("a"));
  std::set<int> strata;
  for (const double length : first) strata.insert(static_cast<int>((length - 100) / 10));
  EXPECT_EQ(strata, (std::set<int>{0, 1, 2, 3, 4, 5}));  // formula: what a Latin hypercube is
  EXPECT_EQ(lengths(run("b")), first);
  write_text(directory / "machine.toml", case_with(sweep(4)));
  EXPECT_NE(lengths(run("c")), first);
}

TEST_F(SweepStore, ListPutsValuesTogetherOneByOne) {
  const std::string list = R"(method = "list"
[[sweep.parameter]]
path = "stator.slot.tooth_width"
values = ["6 mm", "13 mm"]
[[sweep.parameter]]
path = "machine.length"
values = ["100 mm", "200 mm"]
)";
  write_text(directory / "machine.toml", case_with(list));
  const Outcome outcome = run("out");
  EXPECT_EQ(outcome.exit_code, 6);
  const json points = points_of(outcome);
  ASSERT_EQ(points.size(), 2U);
  EXPECT_EQ(points[1].at("parameters").at("machine.length"), "200 mm");
  EXPECT_EQ(points[1].at("parameters").at("stator.slot.tooth_width"), "13 mm");
  // The second cannot be drawn: it stands in the store, and only --retry solves it again.
  EXPECT_EQ(json::parse(run("out").out).at("solved"), 0);
  const Outcome again = run("out", {"--retry"});
  EXPECT_EQ(json::parse(again.out).at("solved"), 1);
  EXPECT_EQ(points_of(again), points);
  write_text(directory / "machine.toml", case_with(replaced(list, ", \"13 mm\"", "")));
  const Outcome uneven = run("out");
  EXPECT_EQ(uneven.exit_code, 3);
  EXPECT_NE(uneven.err.find("machine.length has 2 values, stator.slot.tooth_width has 1"), std::string::npos)
      << uneven.err;
}

}  // namespace
}  // namespace polepitch
