// What the user asked for on the command line. The one user of CLI11.
#pragma once

#include <string>
#include <vector>

namespace polepitch {

enum class Command { run, check, sweep, merge, optimise, animate, compare, create, list, docs, text };

struct CommandLine {
  Command command = Command::text;
  std::string text;                                                 // of `text` (help, version): to be printed as it is
  std::string case_path;                                            // run, check, sweep, optimise, animate
  std::string output;                                               // -o; "" = the default
  std::string drawing;                                              // --dxf of check; "" = none
  std::string topic;                                                // KIND of new, topic of list and docs
  std::vector<std::string> inputs;                                  // of merge; directories of compare
  std::string shard;                                                // "2/8"; "" = the whole sweep
  std::string study;                                                // of animate; "" = the first that moves
  int frames = 36, width = 1280, height = 768, milliseconds = 100;  // of animate
  bool charts = false;                                              // of compare: curves in characters
  bool series = false;                                              // of animate: numbered pictures
  int slurm = 0;                                                    // tasks of the script; 0 = none
  bool csv = false;
  bool retry = false;
  int jobs = 1;
  bool json = false;
  bool quiet = false;
};

/// "0.1.0"
const char* program_version();

/// Where results go when no -o says so: the case's name, with "-results" behind it when the case file has no extension,
/// for the bare name is the file itself.
std::string default_directory(const std::string& case_path);

/// Throws UsageError.
CommandLine parse_command_line(int argc, const char* const* argv);

}  // namespace polepitch
