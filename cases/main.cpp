// The only place that prints and that turns errors into exit codes.
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <malloc.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include "cases/animate.h"
#include "cases/case.h"
#include "cases/command_line.h"
#include "cases/compare.h"
#include "cases/docs.h"
#include "cases/interrupt.h"
#include "cases/json_text.h"
#include "cases/listing.h"
#include "cases/optimise_run.h"
#include "cases/run_case.h"
#include "cases/summary_table.h"
#include "cases/toml_tree.h"
#include "cases/variation_run.h"
#include "post/atomic_file.h"
#include "post/summary_file.h"
#include "solver/sparse_cholesky.h"

namespace polepitch {
namespace {

void print(const std::string& text) {
  write_descriptor(STDOUT_FILENO, text, "standard output");
}

/// To standard error; the word "error" in colour on a terminal unless NO_COLOR is set.
void print_error(std::string text) {
  const char* no_colour = std::getenv("NO_COLOR");
  const bool colour = ::isatty(STDERR_FILENO) == 1 && (no_colour == nullptr || *no_colour == '\0');
  const std::string word = "error: ";
  if (colour)
    for (std::size_t i = text.find(word); i != std::string::npos; i = text.find(word, i + 20))
      text.replace(i, word.size(), "\033[1;31merror:\033[0m ");
  text += '\n';
  std::fwrite(text.data(), 1, text.size(), stderr);
}

/// The last lines of a summary.
std::string where_it_is(const RunReport& report, bool solved) {
  std::string text = fmt::format("\nfiles are in {0}\n", report.directory);
  if (solved) text += fmt::format("to look at: {}/report.html\n", report.directory);
  return text;
}

int run(const CommandLine& line) {
  Progress progress(!line.quiet);
  const std::string directory = line.output.empty() ? default_directory(line.case_path) : line.output;
  const RunReport report =
      run_case({line.case_path, directory, line.jobs, line.command == Command::run, line.drawing}, progress);
  progress.clear();
  if (line.json)
    print(summary_text(report.case_name, program_version(), report.results));
  else if (!line.quiet)
    print(summary_table(report.title, report.results) + where_it_is(report, line.command == Command::run) +
          (line.drawing.empty() ? "" : fmt::format("the section is drawn in {}\n", line.drawing)));
  for (const Diagnostic& fault : report.failed) print_error(to_text(fault));
  return static_cast<int>(report.failed.empty() ? ExitCode::ok : ExitCode::some_points_failed);
}

int sweep(const CommandLine& line) {
  Progress progress(!line.quiet);
  SweepRequest request{line.case_path, line.output.empty() ? default_directory(line.case_path) : line.output,
                       line.jobs};
  request.csv = line.csv;
  request.retry = line.retry;
  if (!line.shard.empty()) {
    request.shard = std::stoul(line.shard);
    request.shards = std::stoul(line.shard.substr(line.shard.find('/') + 1));
  }
  if (line.slurm > 0) {
    const std::string path = request.directory + "/sweep.slurm.sh";
    read_case(line.case_path);  // told here rather than by every task
    make_directory(request.directory);
    write_file(path, slurm_script(request, static_cast<std::size_t>(line.slurm)));
    if (!line.quiet && !line.json) print(fmt::format("wrote {0}; submit it with: sh {0}\n", path));
    return 0;
  }
  const SweepReport report = run_sweep(request, progress);
  if (line.csv) write_file(request.directory + "/sweep.csv", sweep_csv(report));
  if (request.shards == 1) draw_sweep(report, request.directory);
  progress.clear();
  if (line.json)
    print(sweep_json(report));
  else if (!line.quiet)
    print(sweep_table(report) + fmt::format("the store is {}\n", report.store_path));
  for (std::size_t i = 0; i < report.points.size(); ++i)
    if (const auto& row = report.points[i].row; row && row->exit_code != 0)
      print_error(fmt::format("error: point {}: {}", i + 1, row->reason));
  if (report.killed > 0)
    print_error(
        fmt::format("error: {} workers were killed before their point was finished\n  hint: run the same "
                    "command again; with fewer --jobs when memory is short",
                    report.killed));
  return static_cast<int>(report.failed + report.killed == 0 ? ExitCode::ok : ExitCode::some_points_failed);
}

int merge(const CommandLine& line) {
  const MergeReport report = merge_stores(line.output, line.inputs);
  if (line.json)
    print(merge_json(report));
  else if (!line.quiet)
    print(fmt::format("{}: {} points, {} failed; {} stood in more than one input\n", line.output, report.rows,
                      report.failed, report.duplicates));
  for (const auto& [name, count] : report.missing)
    print_error(
        fmt::format("error: {} points of the sweep of {} are missing (numbers {}{})\n  hint: run the shards that "
                    "they belong to again: point n is of shard (n - 1) mod N + 1",
                    count, name, fmt::join(report.gaps, ", "), count > report.gaps.size() ? ", …" : ""));
  for (const std::string& key : report.differing)
    print_error(fmt::format("error: the inputs have different results for the point {}; the first is kept", key));
  const bool whole = report.missing.empty() && report.differing.empty();
  return static_cast<int>(whole ? ExitCode::ok : ExitCode::some_points_failed);
}

int optimise(const CommandLine& line) {
  Progress progress(!line.quiet);
  const std::string directory = line.output.empty() ? default_directory(line.case_path) : line.output;
  const OptimiseReport report = run_optimise({line.case_path, directory, line.jobs}, progress);
  draw_optimise(report);
  progress.clear();
  if (line.json)
    print(optimise_json(report));
  else if (!line.quiet)
    print(optimise_table(report));
  if (report.met) return 0;
  print_error(
      fmt::format("error: no design within the bounds meets every constraint; the nearest misses one by {:.2g} %\n"
                  "  hint: it is {}; widen the bounds or ease the limit",
                  100 * report.designs[report.chosen.front()].missed, report.files.front()));
  return static_cast<int>(ExitCode::not_converged);
}

int animate(const CommandLine& line) {
  Progress progress(!line.quiet);
  const AnimateReport report = animate_case({line.case_path, line.output, line.study, line.series, line.frames,
                                             line.width, line.height, line.milliseconds, line.jobs},
                                            progress);
  progress.clear();
  if (line.json)
    print(animation_json(report));
  else if (!line.quiet)
    print(fmt::format("{}: {} frames of {}, {}\n", report.output, report.frames, report.study, report.axis));
  return 0;
}

int compare(const CommandLine& line) {
  const std::vector<RunRecord> runs = read_runs(line.inputs);
  const Comparison comparison = compare_runs(runs);
  const std::string page = line.output.empty() ? "comparison.html" : line.output;
  write_comparison_page(runs, comparison, page);
  if (line.json)
    print(comparison_json(runs, comparison));
  else if (!line.quiet)
    print(comparison_table(runs, comparison, line.charts) + fmt::format("\nthe page is {}\n", page));
  return 0;
}

int create(const CommandLine& line) {
  const std::string text = starter_case(line.topic);
  if (line.output == "-") {
    print(text);
    return 0;
  }
  const std::string path = line.output.empty() ? line.topic + ".toml" : line.output;
  const auto refuse = [](const std::string& there) {
    if (std::filesystem::exists(there)) throw FileError(there + " is there already", "choose another name with -o");
  };
  refuse(path);
  std::vector<std::pair<std::string, std::string>> drawings = starter_drawings(line.topic);
  for (auto& [name, content] : drawings) {
    name = (std::filesystem::path(path).parent_path() / name).string();
    if (!std::filesystem::exists(name) || read_text_file(name) != content) refuse(name);
  }
  for (const auto& [name, content] : drawings) write_file(name, content);
  write_file(path, text);
  if (!line.quiet && !line.json) {
    for (const auto& [name, content] : drawings) print(fmt::format("wrote {}\n", name));
    print(fmt::format("wrote {0}; now try: polepitch check {0}\n", path));
  }
  return 0;
}

int list(const CommandLine& line) {
  const std::vector<ListEntry> entries = list_entries(line.topic);
  print(line.json ? list_json(entries) : list_text(entries));
  return 0;
}

int docs(const CommandLine& line) {
  print(reference_text(line.topic));
  return 0;
}

int dispatch(const CommandLine& line) {
  switch (line.command) {
    case Command::text:
      print(line.text);
      return 0;
    case Command::run:
    case Command::check:
      return run(line);
    case Command::sweep:
      return sweep(line);
    case Command::merge:
      return merge(line);
    case Command::optimise:
      return optimise(line);
    case Command::animate:
      return animate(line);
    case Command::compare:
      return compare(line);
    case Command::create:
      return create(line);
    case Command::list:
      return list(line);
    case Command::docs:
      return docs(line);
  }
  return static_cast<int>(ExitCode::internal);
}

/// What is no fault of the user's.
struct InternalFault : Error {
  InternalFault(std::string message, std::string hint)
      : Error(ExitCode::internal, std::move(message), std::move(hint)) {}
};

/// Errors go to standard error, and with --json as one JSON value to standard output too.
int report(bool json, const Error& error) {
  for (const Diagnostic& diagnostic : error.diagnostics()) print_error(to_text(diagnostic));
  if (json) {
    try {
      print(error_json(static_cast<int>(error.code()), error.diagnostics()));
    } catch (const FileError&) {
      // Standard output is full or closed: the error has been told on standard error.
    }
  }
  return static_cast<int>(error.code());
}

int guarded(int argc, char** argv) {
  bool json = false;  // also known when the command line itself is at fault
  for (int i = 1; i < argc; ++i) json = json || std::strcmp(argv[i], "--json") == 0;
  try {
    catch_interrupts();
    return dispatch(parse_command_line(argc, argv));
  } catch (const Interrupted& interrupted) {
    print_error("interrupted; files that were written are whole");
    return 128 + interrupted.signal;
  } catch (const Error& error) {
    return report(json, error);
  } catch (const std::bad_alloc&) {
    return report(json, InternalFault("out of memory", "lower mesh.density or --jobs"));
  } catch (const std::exception& error) {
    return report(json, InternalFault(fmt::format("fault of the program: {}", error.what()),
                                      "please report it with the case file"));
  }
}

}  // namespace
}  // namespace polepitch

int main(int argc, char** argv) {
  // The solver frees and asks again for the same megabytes at every step: keep them instead of faulting them in anew.
  mallopt(M_MMAP_THRESHOLD, 1 << 28);
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
  polepitch::pin_blas_to_one_thread();
  return polepitch::guarded(argc, argv);
}
