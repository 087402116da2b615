// Output that cannot be written, and runs that are interrupted: a clear error, the right code, nothing half-written.
#include <gtest/gtest.h>

#include <csignal>
#include <filesystem>

#include "geometry/dxf_reader.h"
#include "post/atomic_file.h"
#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

namespace fs = std::filesystem;

bool has_leftovers(const std::string& directory) {
  if (!fs::exists(directory)) return false;
  for (const auto& entry : fs::recursive_directory_iterator(directory))
    if (entry.path().filename().string().front() == '.') return true;
  return false;
}

TEST(Files, DirectoryWhoseParentIsAFile) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  write_text(directory / "taken", "a file");
  const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "taken/results"});
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_NE(outcome.err.find("cannot create the directory"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("is a file"), std::string::npos) << outcome.err;
}

/// What stands in the drawing is tested with its writer; here, that the option writes it, whole or not at all.
TEST(Files, CheckDrawsTheSectionWhereItIsAsked) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  const auto check = [&](const std::string& drawing) {
    return run_program({"check", directory / "machine.toml", "-o", directory / "results", "--dxf", drawing});
  };
  const Outcome good = check(directory / "section.dxf");
  EXPECT_EQ(good.exit_code, 0) << good.err;
  EXPECT_NE(good.out.find("section.dxf"), std::string::npos) << good.out;
  const DxfDrawing drawing = read_dxf(directory / "section.dxf");
  EXPECT_FALSE(drawing.entities.empty());
  const Outcome bad = check(directory / "nowhere/section.dxf");
  EXPECT_EQ(bad.exit_code, 7);
  EXPECT_NE(bad.err.find("nowhere/section.dxf"), std::string::npos) << bad.err;
}

TEST(Files, DirectoryThatIsAFile) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  write_text(directory / "taken", "a file");
  const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "taken"});
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_EQ(read_text_file(directory / "taken"), "a file");
}

TEST(Files, CaseThatIsNotThere) {
  const Outcome outcome = run_program({"check", "/nonexistent/machine.toml"});
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_NE(outcome.err.find("cannot read /nonexistent/machine.toml"), std::string::npos) << outcome.err;
}

TEST(Files, FullDiskOnStandardOutput) {
  ProcessOptions options;
  options.stdout_path = "/dev/full";
  for (const std::vector<std::string>& arguments : {std::vector<std::string>{"list", "materials"},
                                                    {"docs", "case-file"},
                                                    {"docs", "material-file"},
                                                    {"--help"},
                                                    {"list", "slots", "--json"}}) {
    const Outcome outcome = run_program(arguments, options);
    EXPECT_EQ(outcome.exit_code, 7) << arguments[0];
    EXPECT_NE(outcome.err.find("cannot write to standard output"), std::string::npos) << outcome.err;
  }
}

// The limit sends SIGXFSZ, which the program ignores, so that writing fails with EFBIG like a full disk does.
TEST(Files, LimitOnTheSizeOfAFile) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  ProcessOptions options;
  options.largest_file = 4096;
  const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "results"}, options);
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_NE(outcome.err.find("cannot write"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("ulimit"), std::string::npos) << outcome.err;
  EXPECT_FALSE(fs::exists(directory / "results/summary.json"));
  EXPECT_FALSE(has_leftovers(directory / "results"));
}

// While it starts, reads or meshes (a mesh so fine that it takes seconds): the code says so, files are whole or absent.
TEST(Files, InterruptedRun) {
  for (const auto& [signal, code] : {std::pair{SIGINT, 130}, {SIGTERM, 143}})
    for (const int after : {50, 200, 500}) {
      const FreshDirectory directory;
      write_text(directory / "machine.toml", replaced(small_case(), "[machine]", "[mesh]\ndensity = 3\n\n[machine]"));
      ProcessOptions options;
      options.signal = signal;
      options.signal_after_ms = after;
      const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "results"}, options);
      EXPECT_EQ(outcome.exit_code, code) << after << " ms: " << outcome.out << outcome.err;
      EXPECT_FALSE(fs::exists(directory / "results/summary.json"));
      EXPECT_FALSE(has_leftovers(directory / "results"));
    }
}

TEST(Files, StarterIsNotOverwritten) {
  const FreshDirectory directory;
  write_text(directory / "mine.toml", "precious");
  const Outcome first = run_program({"list", "machines"});
  ASSERT_EQ(first.exit_code, 0) << first.err;
  const std::string kind = first.out.substr(0, first.out.find(' '));
  const Outcome outcome = run_program({"new", kind, "-o", directory / "mine.toml"});
  EXPECT_EQ(outcome.exit_code, 7);
  EXPECT_NE(outcome.err.find("is there already"), std::string::npos);
  EXPECT_EQ(read_text_file(directory / "mine.toml"), "precious");
}

TEST(Files, FailedWriterLeavesTheOldFile) {
  const FreshDirectory directory;
  write_text(directory / "old.txt", "old");
  EXPECT_THROW(write_file_with(directory / "old.txt",
                               [](const std::string& temporary) {
                                 write_text(temporary, "half");
                                 return false;
                               }),
               FileError);
  EXPECT_EQ(read_text_file(directory / "old.txt"), "old");
  EXPECT_FALSE(has_leftovers(directory.path()));
  write_file(directory / "old.txt", "new");
  EXPECT_EQ(read_text_file(directory / "old.txt"), "new");
}

}  // namespace
}  // namespace polepitch
