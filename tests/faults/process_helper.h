// Runs the program as a user does and keeps what it said.
#pragma once

#include <string>
#include <vector>

namespace polepitch {

struct Outcome {
  int exit_code = -1;  // 128 + signal when a signal ended it
  std::string out, err;
};

struct ProcessOptions {
  std::string directory;      // to start in; "" = here
  std::string stdout_path;    // "" = kept in Outcome::out
  long largest_file = -1;     // bytes, RLIMIT_FSIZE; -1 = no limit
  long cpu_seconds = -1;      // of processor time, RLIMIT_CPU (then SIGXCPU); -1 = no limit
  bool unprivileged = false;  // as nobody, where the test runs as root
  int signal = 0;             // sent …
  int signal_after_ms = 0;    // … so long after the start
};

Outcome run_program(const std::vector<std::string>& arguments, const ProcessOptions& options = {});

}  // namespace polepitch
