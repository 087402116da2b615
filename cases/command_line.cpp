#include "cases/command_line.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <sstream>
#include <thread>

#include "cases/docs.h"
#include "cases/listing.h"
#include "geometry/error.h"
#include "geometry/parameter.h"

namespace polepitch {
namespace {

constexpr const char* footer = R"(Examples:
  polepitch new salient-generator        write salient-generator.toml to start from
  polepitch check salient-generator.toml read, lay out, draw and mesh it; pictures in salient-generator/
  polepitch check motor.toml --dxf motor.dxf  also write the section as a drawing
  polepitch run salient-generator.toml   solve its studies; results in salient-generator/
  polepitch run motor.toml -o out --jobs 2 --json
  polepitch sweep motor.toml --csv       every point of the case's [sweep]; run it again to go on
  polepitch optimise motor.toml          the best design within the bounds of the case's [optimise]
  polepitch animate motor.toml --study slip   its moving field as a GIF
  polepitch compare thin thick                two runs side by side, in comparison.html too
  polepitch list slots                   what can stand in a case file
  polepitch docs case-file               every parameter with unit, range, default and meaning
  polepitch docs material-file           what a material file of your own holds, and its B-H table as CSV

With --json standard output is one JSON value: the summary, the list, or {"error": ...}.
Exit codes: 0 done, 1 fault of the program, 2 command line, 3 case file, 4 geometry or mesh,
5 not converged, 6 some points failed, 7 files; 130 or 143 interrupted.)";

std::string join(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : "|") + name;
  return text;
}

/// CLI11 tells a misspelt command only as an argument that it did not expect.
[[noreturn]] void refuse(const CLI::App& app, const CLI::ParseError& error, int argc, const char* const* argv) {
  std::vector<std::string> commands;
  for (const CLI::App* sub : app.get_subcommands({})) commands.push_back(sub->get_name());
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word.empty() || word[0] == '-') continue;
    if (std::find(commands.begin(), commands.end(), word) != commands.end()) break;
    const std::string nearest = nearest_name(word, commands);
    throw UsageError("there is no command \"" + word + "\"",
                     nearest.empty() ? "commands: " + join(commands) : "did you mean \"" + nearest + "\"?");
  }
  throw UsageError(error.what(), "polepitch --help shows the commands and their options");
}

/// CLI11 wants the fault as a text, "" when there is none.
std::string refuse_empty(const std::string& text) {
  return text.empty() ? "the name is empty; leave the option out for the default" : "";
}

/// "2/8": the second of eight.
std::string refuse_shard(const std::string& text) {
  int shard = 0, shards = 0, length = 0;
  const bool read = std::sscanf(text.c_str(), "%6d/%6d%n", &shard, &shards, &length) == 2;
  if (read && length == static_cast<int>(text.size()) && shard >= 1 && shard <= shards) return "";
  return "\"" + text + "\" is no shard; write i/N with i from 1 to N, like 2/8";
}

void add_sweep_commands(CLI::App& app, CommandLine& line) {
  CLI::App* sweep =
      app.add_subcommand("sweep", "Solve a case file for every point of its [sweep]; go on where it stopped");
  sweep->add_option("CASE", line.case_path, "Case file (TOML)")->required();
  sweep->add_option("-o,--output", line.output, "Directory of store and pictures; default: the case's name, here")
      ->check(refuse_empty);
  sweep->add_option("--jobs", line.jobs, "Worker processes")->check(CLI::Range(1, 1024))->capture_default_str();
  sweep->add_option("--shard", line.shard, "i/N: only every N-th point from the i-th on, into a store of its own")
      ->check(refuse_shard);
  sweep->add_flag("--csv", line.csv, "Write sweep.csv too");
  sweep->add_flag("--retry", line.retry, "Solve points again that failed before");
  sweep
      ->add_option("--slurm", line.slurm,
                   "Write a script that submits N shards and their merging to Slurm; solve nothing")
      ->check(CLI::Range(1, 100000));
  CLI::App* merge = app.add_subcommand("merge", "One store of the stores of shards; tells gaps and duplicates");
  merge->add_option("OUT", line.output, "Store to write or add to")->required()->check(refuse_empty);
  merge->add_option("IN", line.inputs, "Stores of the shards")->required()->expected(1, 100000);
  CLI::App* optimise = app.add_subcommand(
      "optimise", "Seek the best design within the bounds of a case file's [optimise]; go on where it stopped");
  optimise->add_option("CASE", line.case_path, "Case file (TOML)")->required();
  optimise
      ->add_option("-o,--output", line.output, "Directory of store, pictures and case files; default: the case's name")
      ->check(refuse_empty);
  optimise->add_option("--jobs", line.jobs, "Threads that solve one design")
      ->check(CLI::Range(1, 1024))
      ->capture_default_str();
}

/// "1280x768" into width and height.
std::string read_size(std::string& text, CommandLine& line) {
  int length = 0;
  const bool read = std::sscanf(text.c_str(), "%5dx%5d%n", &line.width, &line.height, &length) == 2;
  const auto fits = [](int side) { return side >= 160 && side <= 4096; };
  if (read && length == static_cast<int>(text.size()) && fits(line.width) && fits(line.height)) return "";
  return "\"" + text + "\" is no size; write WIDTHxHEIGHT in pixels from 160 to 4096, like 1280x768";
}

void add_animate_command(CLI::App& app, CommandLine& line) {
  CLI::App* animate = app.add_subcommand("animate", "Draw a study's moving field as a GIF or as numbered pictures");
  animate->add_option("CASE", line.case_path, "Case file (TOML)")->required();
  animate->add_option("-o,--output", line.output, "GIF file or, with --png, directory; default: CASE-STUDY, here")
      ->check(refuse_empty);
  animate->add_option("--study", line.study, "Name of the study; default: the first that keeps fields")
      ->check(refuse_empty);
  animate->add_option("--frames", line.frames, "Frames, as far as the study has points")
      ->check(CLI::Range(2, 240))
      ->capture_default_str();
  animate->add_option("--size", "Pixels, WIDTHxHEIGHT; default: 1280x768")
      ->check(CLI::Validator([&line](std::string& text) { return read_size(text, line); }, ""));
  animate->add_option("--pause", line.milliseconds, "Milliseconds a frame of the GIF")
      ->check(CLI::Range(20, 10000))
      ->capture_default_str();
  animate->add_flag("--png", line.series, "frame_000.png, frame_001.png … instead of a GIF");
  animate->add_option("--jobs", line.jobs, "Worker threads")->check(CLI::Range(1, 1024))->capture_default_str();
}

void add_compare_command(CLI::App& app, CommandLine& line) {
  CLI::App* compare =
      app.add_subcommand("compare", "Results of several runs or sweeps side by side, with their differences");
  compare->add_option("DIR", line.inputs, "Directories that polepitch run or polepitch sweep has written")
      ->required()
      ->expected(2, 12);
  compare->add_option("-o,--output", line.output, "Page to write, an HTML file; default: comparison.html, here")
      ->check(refuse_empty);
  compare->add_flag("--charts", line.charts, "Print every curve of the runs in characters too");
}

void add_commands(CLI::App& app, CommandLine& line) {
  CLI::App* run = app.add_subcommand("run", "Solve the studies of a case file and write the results");
  CLI::App* check = app.add_subcommand("check", "Read, lay out, draw, mesh and describe, without solving a field");
  for (CLI::App* command : {run, check}) {
    command->add_option("CASE", line.case_path, "Case file (TOML)")->required();
    command->add_option("-o,--output", line.output, "Directory of the results; default: the case's name, here")
        ->check(refuse_empty);
  }
  check->add_option("--dxf", line.drawing, "Write the section as a drawing: DXF, mm, layers named by role")
      ->check(refuse_empty);
  run->add_option("--jobs", line.jobs, "Worker threads")->check(CLI::Range(1, 1024))->capture_default_str();
  add_sweep_commands(app, line);
  add_animate_command(app, line);
  add_compare_command(app, line);
  CLI::App* create = app.add_subcommand("new", "Write a commented case file that runs, to start from");
  create->add_option("KIND", line.topic, "Kind of machine; `polepitch list machines` names them")->required();
  create->add_option("-o,--output", line.output, "File to write; - is standard output; default: KIND.toml")
      ->check(refuse_empty);
  CLI::App* list = app.add_subcommand("list", "What can stand in a case file");
  list->add_option("TOPIC", line.topic, join(list_topics()))->required();
  CLI::App* docs = app.add_subcommand("docs", "Print the generated reference");
  docs->add_option("TOPIC", line.topic, join(reference_topics()))->required();
}

Command chosen(const CLI::App& app) {
  const std::string name = app.get_subcommands().front()->get_name();
  if (name == "run") return Command::run;
  if (name == "check") return Command::check;
  if (name == "sweep") return Command::sweep;
  if (name == "merge") return Command::merge;
  if (name == "optimise") return Command::optimise;
  if (name == "animate") return Command::animate;
  if (name == "compare") return Command::compare;
  if (name == "new") return Command::create;
  return name == "list" ? Command::list : Command::docs;
}

}  // namespace

const char* program_version() {
  return POLEPITCH_VERSION;
}

std::string default_directory(const std::string& case_path) {
  const std::filesystem::path path(case_path);
  const std::string name = path.stem().string();
  return path.has_extension() ? name : name + "-results";
}

CommandLine parse_command_line(int argc, const char* const* argv) {
  CommandLine line;
  line.jobs = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  CLI::App app("2-D magnetic fields in cross-sections of electrical machines", "polepitch");
  app.set_version_flag("--version", std::string("polepitch ") + program_version());
  app.add_flag("--json", line.json, "Print JSON on standard output");
  app.add_flag("--quiet", line.quiet, "Print errors only");
  app.footer(footer);
  app.fallthrough();
  app.require_subcommand(1);
  add_commands(app, line);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() != 0) refuse(app, error, argc, argv);
    std::ostringstream text;
    app.exit(error, text, text);
    line.text = text.str();
    return line;
  }
  line.command = chosen(app);
  if (line.command == Command::animate && !line.series && !line.output.empty() &&
      std::filesystem::path(line.output).extension() != ".gif")
    throw UsageError("\"" + line.output + "\" does not end in .gif",
                     "animations are GIF files; for a directory of numbered pictures add --png");
  return line;
}

}  // namespace polepitch
